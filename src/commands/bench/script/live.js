// A page that waits for news shows it as it comes; what is being typed, chosen or sent is left alone.
"use strict";
(() => {
  const of = document.body.dataset.live;
  if (!of || !window.EventSource) return;
  let busy = false;
  let again = false;
  const show = async () => {
    if (busy) { again = true; return; }
    busy = true;
    try {
      const answer = await fetch(location.href);
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      if (of !== "all" && page.body.dataset.live !== of) { location.reload(); return; }
      // Rows alone where a form stands on the page.
      const own = document.querySelector("form") ? "ul.rows" : "#page";
      const [fresh, old] = [page.querySelector(own), document.querySelector(own)];
      if (fresh && old) {
        const at = document.activeElement && document.activeElement.getAttribute("href");
        old.replaceChildren(...fresh.childNodes);
        const link = at && old.querySelector(`[href="${CSS.escape(at)}"]`);
        if (link) link.focus();
      } else if (fresh && !old) {
        const section = fresh.closest("section");
        if (section) document.querySelector("main").append(section);
      }
    } catch (_) {
      // The network is away; the next news tries again.
    } finally {
      busy = false;
      if (again) { again = false; show(); }
    }
  };
  const news = new EventSource("/live");
  news.addEventListener("message", (told) => {
    if (of === "all" || told.data === of || told.data === "all") show();
  });
  // What happened while the connection was away, or before it was there.
  news.addEventListener("open", show);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) show(); });
})();
