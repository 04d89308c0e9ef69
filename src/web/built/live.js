import{a as t}from"./shared-2.js";import{z as i}from"./shared-1.js";function n(o){return t("p",{class:"hint",children:i("live.not-here")})}export{n as LiveView};
