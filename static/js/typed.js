// A choice of language loads the page anew: what was typed by then and not yet sent is there again, but no secret.
(() => {
  "use strict";
  const here = location.pathname + location.search;
  const fields = () => [...document.querySelectorAll("main form :is(input, select, textarea)")]
    .filter((one) => !["hidden", "password", "file"].includes(one.type) && one.autocomplete !== "one-time-code");
  const chosen = (one) => ["checkbox", "radio"].includes(one.type);
  document.addEventListener("submit", ({ target }) => {
    if (!target.matches(".tongues")) return;
    const typed = fields().map((one) => [one.name, one.value, chosen(one) && one.checked]);
    try {
      sessionStorage.setItem("typed", JSON.stringify([here, typed]));
    } catch { /* a browser that keeps nothing */ }
  });
  addEventListener("load", () => {
    let where, typed;
    try {
      [where, typed] = JSON.parse(sessionStorage.getItem("typed") || "[]");
      sessionStorage.removeItem("typed");
    } catch { /* the same */ }
    if (where !== here) return;
    fields().forEach((one, n) => {
      const [name, value, checked] = typed[n] || [];
      if (name !== one.name || (chosen(one) ? one.checked === checked : one.value === value)) return;
      if (chosen(one)) one.checked = checked;
      else one.value = value;
      one.dispatchEvent(new Event("input", { bubbles: true })); // a page that follows what is typed follows this too
    });
  });
})();
