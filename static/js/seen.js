// Tells the shop once that this page was on somebody's screen for a moment. Programs that only fetch a page don't.
(() => {
  "use strict";
  let timer = 0;
  const look = () => {
    clearTimeout(timer);
    if (document.visibilityState !== "visible") return;
    timer = setTimeout(() => {
      document.removeEventListener("visibilitychange", look);
      fetch(`${location.pathname.split("/").slice(0, 3).join("/")}/seen`, { method: "POST", keepalive: true }).catch(() => {});
    }, 2000);
  };
  document.addEventListener("visibilitychange", look);
  look();
})();
