function r(n){return null}export{r as QuickPage};
