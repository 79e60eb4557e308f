// One line on the shop's own site puts the configurator there:
//   <script src="https://collars.example/embed.js" data-title="Collars and leads to measure" async></script>
// A design in this script's address ("?leather=chestnut") is the one to begin with. With data-lang="de" the frame is in
// that language, if the shop offers it; without, in the visitor's.
(() => {
  "use strict";
  const script = document.currentScript;
  const home = new URL(script.src);
  const frame = document.createElement("iframe");
  const tag = script.dataset.lang || "";
  frame.src = `${home.origin}/embed${/^[a-z]{2}$/.test(tag) ? `/${tag}` : ""}${home.search}`;
  frame.title = script.dataset.title || "Collars and leads to measure";
  frame.allow = "clipboard-write; web-share";
  Object.assign(frame.style, { display: "block", width: "100%", height: "45rem", border: "0" });

  // Where it does not come up, a link takes its place.
  const link = document.createElement("a");
  Object.assign(link, { href: `${home.origin}/${home.search}`, target: "_blank", rel: "noopener", textContent: frame.title });
  let late;

  // The frame learns how much of it is out of sight above, and answers with its height.
  const greet = () => {
    const above = Math.max(0, -frame.getBoundingClientRect().top);
    frame.contentWindow.postMessage({ girthwright: { above } }, home.origin);
  };
  frame.addEventListener("load", () => {
    greet();
    late ??= setTimeout(() => { frame.replaceWith(link); }, 8000);
  });

  let due = false;
  document.addEventListener("scroll", () => {
    if (due || late === undefined || !frame.isConnected) return;
    due = true;
    requestAnimationFrame(() => { due = false; greet(); });
  }, { capture: true, passive: true });
  window.addEventListener("message", ({ source, origin, data }) => {
    if (source !== frame.contentWindow || origin !== home.origin) return;
    const { height, show } = (data && data.girthwright) || {};
    if (!Number.isFinite(height)) return;
    clearTimeout(late);
    frame.style.height = `${Math.min(Math.max(height, 200), 40000)}px`;
    if (Number.isFinite(show)) window.scrollBy(0, frame.getBoundingClientRect().top + Math.min(Math.max(show, 0), height) - 16);
  });
  script.after(frame);
})();
