import{a as t}from"./shared-3.js";import{d as i}from"./shared-7.js";import"./shared-2.js";function o(r){return t("p",{class:"hint",children:i("review.not-here")})}export{o as ReviewView};
