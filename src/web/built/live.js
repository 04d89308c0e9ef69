import{a as t}from"./shared-3.js";import{d as i}from"./shared-8.js";import"./shared-2.js";function n(o){return t("p",{class:"hint",children:i("live.not-here")})}export{n as LiveView};
