function n(){return null}function r(e){return null}export{n as PeoplePage,r as PersonPage};
