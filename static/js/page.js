// The page works without this file. With it: short links, honest messages when nothing comes back, copy and share.
(() => {
  "use strict";
  const root = document.documentElement;
  const find = (id) => document.getElementById(id);
  // What is said from here stands in the page, in its language.
  const words = find("words")?.dataset;
  const say = (id, text) => {
    const place = find(id);
    if (place && place.textContent !== text) place.textContent = text;
  };
  root.classList.add("with-script");
  if (navigator.share) root.classList.add("with-share");

  // A link to a design is easier to read and send without the fields that were left empty.
  document.addEventListener("htmx:config:request", ({ detail }) => {
    const { body } = detail.ctx.request;
    if (body instanceof FormData) for (const [name, value] of [...body]) if (value === "") body.delete(name);
  });

  // Inputs are never replaced, so what they tell about themselves is kept in step here; and the page knows that
  // the collar it shows is not the one that is typed.
  document.addEventListener("htmx:after:swap", () => {
    root.classList.toggle("stale", Boolean(document.querySelector(".unmade > *") && document.querySelector("#worn svg")));
    for (const note of document.querySelectorAll(".note")) {
      const input = find(note.id.replace("note-", "field-"));
      if (!input || input.type === "radio") continue;
      if (note.querySelector(".wrong")) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
  });

  const adrift = (text) => {
    say("connection", text);
    root.classList.toggle("adrift", Boolean(text));
  };
  document.addEventListener("htmx:after:request", ({ detail }) => {
    const status = detail.ctx.response.status;
    if (status === 200 || status === 422) return adrift("");
    adrift(status === 429 ? words.sayMany : words.sayDown);
  });
  document.addEventListener("htmx:error", ({ detail }) => {
    if (detail.error && detail.error.name === "AbortError") return;
    adrift(words.sayAlone);
  });

  // What few look at is fetched once it is unfolded, and anew after a change as long as it stands open.
  const bring = (fold) => {
    if (fold.open) fold.querySelector("a[hx-get]").click();
    else fold.querySelector(".brought").replaceChildren();
  };
  document.addEventListener("toggle", ({ target }) => target.matches(".later") && bring(target), true);
  document.addEventListener("htmx:after:swap", ({ detail }) => {
    if (!detail.ctx.sourceElement.closest(".later")) document.querySelectorAll("#outcome .later").forEach(bring);
  });

  const done = (button, text) => {
    const label = button.textContent;
    button.textContent = text;
    say("status", text);
    setTimeout(() => { button.textContent = label; }, 2500);
  };
  const tasks = {
    async copy(button, link) {
      try {
        await navigator.clipboard.writeText(link.value);
      } catch {
        link.focus();
        link.select();
        if (!document.execCommand("copy")) return done(button, words.sayMarked);
      }
      done(button, button.dataset.sayDone || words.sayCopied);
    },
    async share(_button, link) {
      try {
        await navigator.share({ title: document.title, url: link.value });
      } catch { /* closed without sending */ }
    },
  };
  // A browser follows the link, but not all unfold what the field is folded in; and of choices the chosen one has the focus.
  const toField = (input) => {
    if (!input) return;
    for (let fold = input.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
    (input.closest(".tags")?.querySelector(":checked") || input).focus();
  };
  if (location.hash.startsWith("#field-")) toField(find(location.hash.slice(1)));
  document.addEventListener("click", ({ target }) => {
    const way = target.closest("a[href^='#field-']");
    if (way) toField(find(way.hash.slice(1)));
    const button = target.closest("button[data-do]");
    if (button) tasks[button.dataset.do](button, find(button.dataset.of || "share-link"));
  });
})();
