// The page works without this file. With it: short links, honest messages when nothing comes back, copy and share.
(() => {
  "use strict";
  const root = document.documentElement;
  const find = (id) => document.getElementById(id);
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

  // Inputs are never replaced, so what they tell about themselves is kept in step here.
  document.addEventListener("htmx:after:swap", () => {
    for (const note of document.querySelectorAll(".note")) {
      const input = find(note.id.replace("note-", "field-"));
      if (!input || input.type === "radio") continue;
      if (note.querySelector(".wrong")) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
  });

  const kept = " Your entries are kept.";
  document.addEventListener("htmx:after:request", ({ detail }) => {
    const status = detail.ctx.response.status;
    if (status === 200 || status === 422) return say("connection", "");
    const slow = status === 429 ? "Not updated: too many changes at once. Wait a moment and change something." : "Not updated: the workshop can't answer just now.";
    say("connection", slow + kept);
  });
  document.addEventListener("htmx:error", ({ detail }) => {
    if (detail.error && detail.error.name === "AbortError") return;
    say("connection", "Not updated: no connection." + kept);
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
        if (!document.execCommand("copy")) return done(button, "Copy the marked link");
      }
      done(button, "Link copied");
    },
    async share(_button, link) {
      try {
        await navigator.share({ title: document.title, url: link.value });
      } catch { /* closed without sending */ }
    },
  };
  document.addEventListener("click", ({ target }) => {
    const button = target.closest("button[data-do]");
    if (button) tasks[button.dataset.do](button, find("share-link"));
  });
})();
