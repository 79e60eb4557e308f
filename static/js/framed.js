// In a frame: tells the page around it how tall this one is, and keeps the drawing in sight while that page scrolls.
(() => {
  "use strict";
  const root = document.documentElement;
  const around = window.parent;
  if (around === window) return;
  const bench = document.querySelector(".bench");
  const hero = document.querySelector(".hero");
  const phone = window.matchMedia("(max-width: 35.99rem)");
  let origin = "";

  const tell = (more) => {
    const height = Math.ceil(root.getBoundingClientRect().height);
    if (origin) around.postMessage({ girthwright: { height, ...more } }, origin);
  };
  // On a phone the upper of the two views may leave; price and lower view stay.
  const spare = () => phone.matches ? hero.firstElementChild.offsetHeight / 2 : 0;
  // What would stick to a window's edge: `above` is how much of the frame has been scrolled out of sight.
  const follow = (above) => {
    if (!hero) return; // a page that only says what is the matter
    const room = bench.offsetHeight - hero.offsetHeight - (hero.offsetTop - bench.offsetTop);
    hero.style.translate = `0 ${Math.max(0, Math.min(above - spare() - hero.offsetTop, room))}px`;
  };

  // Only a site that the workshop lists can have this page in a frame at all; the answer goes to it alone.
  window.addEventListener("message", ({ source, origin: from, data }) => {
    const above = data && data.girthwright && data.girthwright.above;
    if (source !== around || !Number.isFinite(above)) return;
    origin = from;
    root.classList.add("sized");
    follow(above);
    tell();
  });
  new ResizeObserver(() => tell()).observe(document.body);

  // A frame as tall as what is in it has nothing to scroll: the page around it has to go to where a link leads.
  document.addEventListener("click", ({ target }) => {
    const way = target.closest("a[href^='#']");
    const place = way && document.getElementById(way.hash.slice(1));
    if (!place) return;
    const covered = hero && bench.contains(place) && hero.offsetWidth > bench.offsetWidth / 2 ? hero.offsetHeight - spare() : 0;
    tell({ show: Math.floor(place.getBoundingClientRect().top - covered) });
  });
})();
