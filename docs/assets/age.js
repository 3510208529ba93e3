// Law changes, and a copy of this site does not know it: what was reviewed long ago says so itself.

const MONTHS = 6;

/** @param {Document | Element} within */
function look(within) {
  for (const place of within.querySelectorAll("[data-reviewed]")) {
    const due = new Date(`${place.getAttribute("data-reviewed")}T00:00:00Z`);
    due.setUTCMonth(due.getUTCMonth() + MONTHS);
    if (Date.now() < due.getTime() || place.querySelector(".hr-old")) continue;
    const note = document.createElement("strong");
    note.className = "hr-old";
    note.textContent = ` That is more than ${MONTHS} months ago. Read the rules again before you rely on this page.`;
    place.append(note);
  }
}

const pages = /** @type {any} */ (window).document$;
if (pages) pages.subscribe(() => look(document));
else look(document);
