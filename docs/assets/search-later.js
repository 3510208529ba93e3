// @ts-check
// The search's index is larger than any page. The theme asks for it with every page; here the request waits until a
// reader turns to the search. Runs before the theme's script.
(() => {
  const INDEX = /\/search\/search_index\.json$/;
  /** @type {(() => void)[]} */
  let waiting = [];
  let wanted = new URLSearchParams(location.search).has("q");

  function want() {
    wanted = true;
    for (const send of waiting) send();
    waiting = [];
  }

  const { open, send } = XMLHttpRequest.prototype;
  const held = new WeakSet();
  XMLHttpRequest.prototype.open = function (/** @type {any[]} */ ...given) {
    if (INDEX.test(String(given[1]))) held.add(this);
    return /** @type {any} */ (open).apply(this, given);
  };
  XMLHttpRequest.prototype.send = function (body) {
    if (wanted || !held.has(this)) return send.call(this, body);
    waiting.push(() => send.call(this, body));
  };

  const isSearch = (/** @type {EventTarget | null} */ target) => target instanceof Element && target.closest(".md-search, [for=__search]");
  for (const event of ["pointerdown", "focusin", "pointerover"]) {
    document.addEventListener(event, ({ target }) => isSearch(target) && want(), { passive: true });
  }
  // The theme's keys for the search.
  document.addEventListener("keydown", ({ key }) => ["f", "s", "/"].includes(key) && want());
})();
