import{a as t}from"./shared-2.js";import{z as i}from"./shared-1.js";function o(r){return t("p",{class:"hint",children:i("review.not-here")})}export{o as ReviewView};
