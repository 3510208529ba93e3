// “Did you mean” for the search: a word that no page holds is held against those that some page holds.
// Without this script the search works as before.

const WORDS = new URL("search-words.json", import.meta.url);
const LETTERS = /[\p{L}]{4,24}/gu;

/** @type {Promise<Record<string, number>> | undefined} */
let known;
const vocabulary = () => (known ??= fetch(WORDS).then((answer) => (answer.ok ? answer.json() : {}), () => ({})));

/**
 * How many letters have to be changed, left out, put in or swapped with their neighbour; more than `most` is most + 1.
 * @param {string} a @param {string} b @param {number} most
 */
function distance(a, b, most) {
  if (Math.abs(a.length - b.length) > most) return most + 1;
  let before = [];
  let above = Array.from({ length: b.length + 1 }, (_, index) => index);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1];
      row[j] = Math.min(above[j] + 1, row[j - 1] + 1, above[j - 1] + (same ? 0 : 1));
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) row[j] = Math.min(row[j], before[j - 2] + 1);
    }
    if (Math.min(...row) > most) return most + 1;
    before = above;
    above = row;
  }
  return above[b.length];
}

/**
 * The query with every unknown word in the place of its nearest known one; the query itself when all are known.
 * @param {string} query @param {Record<string, number>} words weight of each known word
 */
export function suggestion(query, words) {
  const all = Object.keys(words);
  if (!all.length) return query;
  return query.replace(LETTERS, (given) => {
    const word = given.toLowerCase();
    // The search completes words by itself, so the beginning of a known one is known.
    if (all.some((other) => other.startsWith(word))) return given;
    const most = word.length < 6 ? 1 : 2;
    let best = given;
    let least = [most + 1, 0];
    for (const other of all) {
      // Few people get the first letter wrong.
      const far = distance(word, other, most) + (other[0] === word[0] ? 0 : 0.5);
      if (far < least[0] || (far === least[0] && words[other] > least[1])) {
        least = [far, words[other]];
        best = other;
      }
    }
    return best;
  });
}

/** @param {HTMLInputElement} box */
function watch(box) {
  const results = document.querySelector("[data-md-component=search-result]");
  if (!results) return;
  const line = document.createElement("p");
  line.className = "hr-did-you-mean";
  line.setAttribute("role", "status");
  results.before(line);
  // The theme makes a landmark of the other names of every result; a list of results needs none.
  new MutationObserver(() => {
    for (const names of results.querySelectorAll("nav.md-tags:not([role])")) names.setAttribute("role", "presentation");
  }).observe(results, { childList: true, subtree: true });
  const look = async () => {
    const query = box.value;
    const meant = suggestion(query, await vocabulary());
    if (query !== box.value) return;
    line.replaceChildren();
    if (meant === query) return;
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = meant;
    button.addEventListener("click", () => {
      box.value = meant;
      box.dispatchEvent(new KeyboardEvent("keyup", { bubbles: true }));
      box.focus();
      line.replaceChildren();
    });
    line.append("Did you mean ", button, "?");
  };
  box.addEventListener("keyup", look);
  box.addEventListener("focus", vocabulary, { once: true });
  box.form?.addEventListener("reset", () => line.replaceChildren());
}

const box = document.querySelector("[data-md-component=search-query]");
if (box instanceof HTMLInputElement) watch(box);
