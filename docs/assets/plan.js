// @ts-check
// The planner in a page: reads its few questions, asks Python, and builds the answer from nodes of plain values. Texts stay
// texts: nothing that was typed, or that an address holds, is ever parsed as markup.

import { element, isBare, putText, python, showUnits, system } from "./headroom.js";

/** @typedef {"us" | "si"} System */
/** @typedef {{us: string, si: string}} Pair */
/** @typedef {string | Pair | any[]} Node a text, a text in both unit systems, or [tag, attributes, ...nodes] */
/** @typedef {Record<string, string>} Question typed texts by input */
/** @typedef {{input: string, message: string, of?: string}} Problem */
/** @typedef {HTMLInputElement | HTMLSelectElement} Field */

const PAUSE = 450; // milliseconds without typing before a text counts as finished
const LONGEST = 400; // characters of one answer in an address
const LONGEST_ADDRESS = 6000;
const TYPED = ["goal", "height", "temperature", "labour_rate", "budget", "samples"];
const CHOSEN = ["platform", "use", "exempt"];
const LISTS = ["fitted", "refused"];
const INPUTS = [...CHOSEN, ...TYPED, ...LISTS, "seed"];

const SAYS = {
  starting: "Starting the planner…",
  working: "Working out the plan: ",
  live: "Worked out for your answers.",
  stale: "Not updated: this is still the last good plan.",
  failed: "The planner could not start in this browser. The plan shown was worked out earlier; what you typed is kept.",
  notShown: "The planner could not start in this browser, so the plan of this address is not shown.",
};

// --- nodes --------------------------------------------------------------------------------------------------------

const TAGS = new Set(
  "a b button caption dd details div dl dt em h2 h3 li ol p small span strong summary table tbody td textarea th thead tr ul".split(" "),
);
const ATTRIBUTE = /^(?:class|id|type|scope|role|tabindex|popover|popovertarget|open|rows|readonly|colspan|data-[a-z-]+|aria-[a-z-]+)$/;
const ADDRESS = /^(?:\.{1,2}\/)+[\w\-./#]*$/; // pages of this site only

/** @param {Node} node @returns {globalThis.Node} */
function built(node) {
  if (typeof node === "string") return document.createTextNode(node);
  if (!Array.isArray(node)) {
    const quantity = element("span");
    quantity.className = "hr-q";
    if (node.us === node.si) quantity.textContent = node.us;
    else putText(quantity, node);
    return quantity;
  }
  const [tag, attributes, ...inside] = node;
  if (!TAGS.has(tag)) throw new Error(`no such element: ${tag}`);
  const made = element(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name === "style") for (const [property, text] of Object.entries(value)) made.style.setProperty(property, String(text));
    else if (name === "href" ? ADDRESS.test(value) : ATTRIBUTE.test(name)) made.setAttribute(name, value);
    else throw new Error(`no such attribute: ${name}`);
  }
  made.append(...inside.map(built));
  return made;
}

// --- addresses ----------------------------------------------------------------------------------------------------

/** An address that leads to no plan, with what is wrong. */
class Broken extends Error {
  /** @param {string} why @param {string} [elsewhere] the page of this site that the address is for */
  constructor(why, elsewhere = "") {
    super(why);
    this.elsewhere = elsewhere;
  }
}

/**
 * What an address holds behind `#plan?` or `#compare?`. Throws Broken.
 * @param {string} query @param {string[]} allowed
 */
function parsed(query, allowed) {
  if (query.length > LONGEST_ADDRESS) throw new Broken("It is longer than any address this site makes.");
  const given = new URLSearchParams(query);
  /** @type {Record<string, string>} */
  const found = {};
  for (const [name, text] of given) {
    if (!allowed.includes(name)) throw new Broken(`It holds “${name.slice(0, 40)}”, which is no question of the planner.`);
    if (name in found) throw new Broken(`It answers “${name}” twice.`);
    if (text.length > (name.length === 1 ? LONGEST_ADDRESS : LONGEST)) throw new Broken(`Its answer to “${name}” is too long.`);
    found[name] = text;
  }
  return found;
}

/** @param {Record<string, string>} found @param {string} edition of the format of addresses, which the build knows */
function checkVersion(found, edition) {
  if (found.v !== edition) {
    throw new Broken(
      found.v === undefined
        ? "It does not say which edition of the planner made it; a part of it may be missing."
        : `It was made for edition ${found.v.slice(0, 20)} of the planner's addresses; this page reads edition ${edition}.`,
    );
  }
}

// --- one planner --------------------------------------------------------------------------------------------------

class Planner {
  /** @param {HTMLElement} box */
  constructor(box) {
    this.box = box;
    this.view = box.dataset.plan ?? "whole";
    this.word = this.view === "compare" ? "compare" : "plan";
    this.form = /** @type {HTMLFormElement} */ (box.querySelector("form"));
    this.shown = /** @type {HTMLElement} */ (box.querySelector(".hr-view"));
    this.broken = /** @type {HTMLElement} */ (box.querySelector(".hr-broken"));
    this.changed = /** @type {HTMLElement} */ (box.querySelector(".hr-changed"));
    this.status = /** @type {HTMLElement} */ (box.querySelector(".hr-status"));
    this.progress = /** @type {HTMLProgressElement} */ (box.querySelector("progress"));
    this.summary = /** @type {HTMLElement} */ (box.querySelector(".hr-summary"));
    this.sides = this.view === "compare" ? ["a-", "b-"] : [""];
    /** @type {Field[]} */
    this.fields = [.../** @type {NodeListOf<Field>} */ (this.form.querySelectorAll("input[name], select[name]"))];
    this.built = [...this.shown.childNodes]; // the default answer, for the way back
    /** What an address asks for that the form has no field for, by side. @type {Record<string, Question>} */
    this.extra = {};
    this.made = box.dataset.made ?? "";
    this.edition = box.dataset.edition ?? "";
    this.pick = "";
    this.asked = 0;
    /** The address that is being replayed, as it was given. @type {Record<string, string> | undefined} */
    this.replaying = undefined;
    /** @type {number | undefined} */
    this.timer = undefined;
    box.dataset.live = "true";
    this.form.addEventListener("focusin", () => python.start());
    this.form.addEventListener("input", (event) => this.edited(event.target instanceof HTMLSelectElement ? 0 : PAUSE));
    this.form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.edited(0);
    });
    this.shown.addEventListener("click", (event) => this.clicked(/** @type {Element} */ (event.target)));
    this.shown.addEventListener("toggle", (event) => this.toggled(/** @type {HTMLElement} */ (event.target)), true);
  }

  /** @param {string} name @param {string} side @returns {Field | undefined} */
  field(name, side) {
    return this.fields.find((field) => field.name === side + name);
  }

  /** The question in the fields: texts that are not empty. @param {string} side @returns {Question} */
  question(side) {
    /** @type {Question} */
    const found = {};
    for (const name of [...CHOSEN, ...TYPED]) {
      const text = this.field(name, side)?.value.trim();
      if (text) found[name] = text.slice(0, LONGEST);
    }
    const extra = this.extra[side] ?? {};
    const parts = this.fields.filter((field) => field.name.startsWith(`${side}part-`) && field.value);
    const named = (/** @type {string} */ sign, /** @type {string} */ list) =>
      [...parts.filter((field) => field.value[0] === sign).map((field) => field.value.slice(1)), ...(extra[list]?.split(",") ?? [])].join(",");
    const [fitted, refused] = [named("+", "fitted"), named("-", "refused")];
    if (fitted) found.fitted = fitted;
    if (refused) found.refused = refused;
    if (extra.seed) found.seed = extra.seed;
    for (const [name, text] of Object.entries(extra)) if (!(name in found) && !LISTS.includes(name)) found[name] = text;
    return found;
  }

  /** Put a question into the fields of a side. Throws Broken where it names what is not there. @param {Question} given @param {string} side */
  fill(given, side) {
    /** @type {Question} */
    const extra = {};
    for (const name of [...CHOSEN, ...TYPED]) {
      const field = this.field(name, side);
      const text = given[name] ?? "";
      if (field instanceof HTMLSelectElement) {
        const first = [...field.options].find((option) => option.defaultSelected) ?? field.options[0];
        const known = [...field.options].some((option) => option.value === text);
        if (text && !known) throw new Broken(`It asks for “${text.slice(0, 60)}” (${name}), which this site does not know.`);
        field.value = text || first?.value || "";
      } else if (field) field.value = text;
      else if (text) extra[name] = text;
    }
    const parts = this.fields.filter((field) => field.name.startsWith(`${side}part-`));
    for (const field of parts) field.value = "";
    for (const [sign, list] of [["+", "fitted"], ["-", "refused"]]) {
      const left = [];
      for (const id of (given[list] ?? "").split(",").filter(Boolean)) {
        const field = parts.find((one) => one instanceof HTMLSelectElement && [...one.options].some((option) => option.value === sign + id));
        if (field && !field.value) field.value = sign + id;
        else left.push(id);
      }
      if (left.length) extra[list] = left.join(",");
    }
    if (given.seed) extra.seed = given.seed;
    this.extra[side] = extra;
    if (this.view === "compare" && given.pick) {
      const pick = this.field("pick", side);
      if (pick instanceof HTMLSelectElement && [...pick.options].some((option) => option.value === given.pick)) pick.value = given.pick;
      else throw new Broken(`It asks for the plan “${given.pick.slice(0, 40)}”, of which there is no such kind.`);
    }
    const folded = /** @type {HTMLDetailsElement | null} */ (this.form.querySelector("details"));
    const further = INPUTS.filter((name) => !["platform", "use", "goal", "seed"].includes(name));
    if (folded && further.some((name) => given[name])) folded.open = true;
  }

  /** Answer what was typed before this script came, or what the browser put back into the fields. */
  catchUp() {
    const untouched = (/** @type {Field} */ field) =>
      field instanceof HTMLSelectElement
        ? (field.selectedOptions[0]?.defaultSelected ?? field.selectedIndex <= 0)
        : field.value === field.defaultValue;
    if (!this.fields.every(untouched)) this.edited(0);
  }

  /** @param {number} pause */
  edited(pause) {
    clearTimeout(this.timer);
    // What is being worked out is no longer asked for, even while the newer question is being typed.
    this.asked++;
    python.cancel(this);
    this.replaying = undefined;
    this.pointFull();
    this.timer = setTimeout(() => this.answer(), pause);
  }

  async answer() {
    const ticket = ++this.asked;
    const units = /** @type {System} */ (system());
    const [side, other] = this.sides;
    /** @type {any} */
    const request = { view: this.view, given: this.question(side), system: units, root: this.box.dataset.root, pick: this.pick };
    if (this.view === "compare") {
      request.pick = this.field("pick", side)?.value;
      request.other = this.question(other);
      request.other_pick = this.field("pick", other)?.value;
    }
    this.say(this.replaying ? "replaying" : "working", SAYS.starting, 0);
    try {
      const answer = await python.ask(this, { plan: request }, (share, words) => {
        if (ticket === this.asked) this.say(this.box.dataset.state ?? "working", SAYS.working + words, share);
      });
      if (!answer || answer.cancelled || ticket !== this.asked || !this.form.isConnected) return;
      if (answer.ok) this.show(answer);
      else this.refuse(answer.problems);
    } catch (error) {
      if (ticket !== this.asked) return;
      console.info(`Headroom: ${error instanceof Error ? error.message : error}`);
      if (this.replaying) this.sayBroken([SAYS.notShown]);
      else this.say("failed", SAYS.failed);
    }
  }

  /** @param {string} state @param {string} words @param {number} [share] how far it is, where it is under way */
  say(state, words, share) {
    this.box.dataset.state = state;
    if (this.status.textContent !== words) this.status.textContent = words;
    this.progress.hidden = share === undefined;
    this.progress.value = share ?? 0;
    this.box.setAttribute("aria-busy", String(share !== undefined));
    if (share !== undefined) {
      this.broken.hidden = true;
    }
  }

  /** @param {any} answer */
  show(answer) {
    this.made = answer.made;
    this.pick = this.view === "compare" ? "" : answer.state.pick;
    this.state = answer.state;
    this.putAnswer(answer.nodes.map(built));
    this.complain([]);
    this.sayChanged(answer);
    this.say("live", SAYS.live);
    this.replaying = undefined;
    this.mirror();
  }

  /** @param {globalThis.Node[]} nodes */
  putAnswer(nodes) {
    this.shown.replaceChildren(...nodes);
    const store = /** @type {HTMLTemplateElement | null} */ (this.box.querySelector("template.hr-store"));
    for (const slot of /** @type {NodeListOf<HTMLElement>} */ (this.shown.querySelectorAll("[data-cautions]"))) {
      if (slot.childElementCount) continue;
      for (const id of (slot.dataset.cautions ?? "").split(" ")) {
        const kept = store?.content.querySelector(`[data-caution="${CSS.escape(id)}"] > *`);
        if (kept) slot.append(kept.cloneNode(true));
      }
    }
  }

  /** What cannot be used: beside its field, or, for an address, in place of a plan. @param {Problem[]} problems */
  refuse(problems) {
    if (this.replaying) {
      this.sayBroken(problems.map((problem) => `${problem.input}: ${problem.message}`));
      return;
    }
    this.say("stale", SAYS.stale);
    this.complain(problems);
  }

  /** @param {Problem[]} problems */
  complain(problems) {
    const fieldOf = (/** @type {Problem} */ problem) => this.field(problem.input, this.sides.length > 1 ? `${problem.of ?? "a"}-` : "");
    for (const field of this.fields) {
      const problem = problems.find((one) => fieldOf(one) === field);
      const place = document.getElementById(`${field.id}-error`);
      if (place) {
        place.textContent = problem?.message ?? "";
        place.hidden = !problem;
      }
      if (problem) field.setAttribute("aria-invalid", "true");
      else field.removeAttribute("aria-invalid");
    }
    this.summary.hidden = !problems.length;
    const list = element("ul");
    for (const problem of problems) {
      const field = fieldOf(problem);
      const line = element("li");
      const words = `${field?.labels?.[0]?.textContent?.trim() ?? problem.input}: ${problem.message}`;
      const link = /** @type {HTMLAnchorElement} */ (element(field ? "a" : "span", words));
      if (field) {
        link.href = `#${field.id}`;
        link.addEventListener("click", (event) => {
          event.preventDefault();
          // The theme would take the link for a way to another page, load this one anew and lose what was typed.
          event.stopPropagation();
          const folded = field.closest("details");
          if (folded) folded.open = true;
          field.focus();
        });
      }
      line.append(link);
      list.append(line);
    }
    if (problems.length) this.summary.replaceChildren(element("p", SAYS.stale), list);
    else this.summary.replaceChildren();
  }

  /**
   * An address that leads to no plan: say what is wrong and where to go on, and show no plan.
   * @param {string[]} reasons @param {string} [elsewhere]
   */
  sayBroken(reasons, elsewhere = "") {
    this.asked++;
    this.replaying = undefined;
    this.say("broken", "");
    this.changed.hidden = true;
    const list = element("ul");
    list.append(...reasons.map((reason) => element("li", reason)));
    const again = /** @type {HTMLButtonElement} */ (element("button", "Start from the default plan"));
    again.type = "button";
    again.className = "hr-button";
    again.addEventListener("click", () => this.startAgain());
    this.broken.replaceChildren(
      element("h2", "This address does not lead to a plan"),
      element("p", "It may have been cut on its way, or the site has changed since it was made. No plan is shown, so that none is taken for the one that was sent."),
      list,
      element("p", "Answer the questions above anew, ask whoever sent the address for a fresh one, or begin here:"),
      again,
    );
    if (elsewhere) {
      const way = /** @type {HTMLAnchorElement} */ (element("a", "Open it on the page that it is for"));
      way.href = elsewhere;
      const place = element("p");
      place.append(way);
      list.after(place);
    }
    this.broken.hidden = false;
    this.broken.focus();
  }

  startAgain() {
    history.replaceState(history.state, "", location.pathname + location.search);
    this.sides.forEach((side) => this.fill({}, side));
    this.pick = "";
    this.broken.hidden = true;
    this.changed.hidden = true;
    this.complain([]);
    this.shown.replaceChildren(...this.built);
    this.say("default", "Worked out when this page was built, for the default answers.");
    this.fields[0]?.focus();
  }

  /** For an address of older figures: what the plan was then, and what it is now. @param {any} answer */
  sayChanged(answer) {
    const then = this.replaying;
    const otherFigures = then?.c !== undefined && then.c !== answer.made;
    const otherKind = Boolean(then?.pick) && this.view === "whole" && answer.state.pick !== then?.pick;
    this.changed.hidden = !otherFigures && !otherKind;
    if (this.changed.hidden || !then) return;
    const lines = [];
    if (otherKind) lines.push("The kind of plan that was sent has no answer today; the first of those below is open instead.");
    if (otherFigures) lines.push(`This address was made with the figures ${then.c.slice(0, 40)}; today they are ${answer.made}. The plan below is worked out anew.`);
    if (otherFigures && then.set !== undefined && answer.state.set) {
      const before = then.set.split(",").filter(Boolean);
      const title = (/** @type {string} */ id) => answer.state.titles[id] ?? `a part that is no longer listed (${id.slice(0, 60)})`;
      const gone = before.filter((id) => !answer.state.set.includes(id));
      const come = answer.state.set.filter((/** @type {string} */ id) => !before.includes(id));
      if (!gone.length && !come.length) lines.push("The parts are the same as then.");
      if (gone.length) lines.push(`No longer in the plan: ${gone.map(title).join(", ")}.`);
      if (come.length) lines.push(`New in the plan: ${come.map(title).join(", ")}.`);
    }
    if (otherFigures && then.cost && answer.state.cost && then.cost !== answer.state.cost) {
      lines.push(`Cost then: ${then.cost.slice(0, 60)}. Cost now: ${answer.state.cost}.`);
    }
    this.changed.replaceChildren(element("p", "What changed"), ...lines.map((line) => element("p", line)));
  }

  // --- the address

  /** The question of a side as it stands in an address. @param {string} side @param {string} [pick] */
  pairs(side, pick) {
    const question = this.question(side);
    return [...INPUTS.filter((name) => question[name]).map((name) => [name, question[name]]), ...(pick ? [["pick", pick]] : [])];
  }

  /** @param {string} [pick] @param {boolean} [short] without what the plan was on the day, which only a later day needs */
  fragment(pick = this.pick, short = false) {
    const found = new URLSearchParams([["v", this.edition], ["c", this.made]]);
    if (this.view === "compare") {
      for (const side of this.sides) found.set(side[0], new URLSearchParams(this.pairs(side, this.field("pick", side)?.value)).toString());
    } else {
      for (const [name, text] of this.pairs("", pick)) found.set(name, text);
      if (!short && this.state && pick === this.pick) {
        found.set("set", this.state.set.join(","));
        if (this.state.cost) found.set("cost", this.state.cost);
      }
    }
    found.set("units", system());
    return `#${this.word}?${found}`;
  }

  mirror() {
    if (!this.form.isConnected) return;
    history.replaceState(history.state, "", location.pathname + location.search + this.fragment());
    this.pointFull();
  }

  /** Let the way to the full plan carry the question. */
  pointFull() {
    const full = /** @type {HTMLAnchorElement | null} */ (this.box.querySelector("a.hr-full"));
    if (!full) return;
    this.state = undefined;
    full.href = (this.box.dataset.planAddress ?? "") + this.fragment();
  }

  /** What the address of the page asks for, if it is one of ours. */
  replay() {
    const [word, query] = location.hash.slice(1).split(/\?(.*)/s);
    if (word !== "plan" && word !== "compare") return;
    try {
      if (word !== this.word && this.view !== "brief") {
        const other = `${this.box.dataset[word === "plan" ? "planAddress" : "compareAddress"]}${location.hash}`;
        throw new Broken(`It is an address for ${word === "plan" ? "one plan" : "two plans side by side"}.`, other);
      }
      if (word !== this.word) return;
      if (query === undefined) throw new Broken("It holds no question.");
      const found = parsed(query, word === "compare" ? ["v", "c", "a", "b", "units"] : ["v", "c", ...INPUTS, "pick", "set", "cost", "units"]);
      checkVersion(found, this.edition);
      if (found.units !== undefined && found.units !== "us" && found.units !== "si") throw new Broken("It names units that this site does not have.");
      if (word === "compare") {
        if (found.a === undefined || found.b === undefined) throw new Broken("It holds fewer than two plans.");
        for (const side of this.sides) this.fill(parsed(found[side[0]], [...INPUTS, "pick"]), side);
      } else {
        if (!found.platform) throw new Broken("It names no vehicle.");
        if (found.pick && !(this.box.dataset.kinds ?? "").split(" ").includes(found.pick)) {
          throw new Broken(`It asks for the plan “${found.pick.slice(0, 40)}”, of which there is no such kind.`);
        }
        this.fill(found, "");
      }
      if (found.units) showUnits(/** @type {System} */ (found.units));
      this.pick = found.pick ?? "";
      this.replaying = found;
    } catch (error) {
      if (!(error instanceof Broken)) throw error;
      this.sides.forEach((side) => this.fill({}, side));
      this.sayBroken([error.message], error.elsewhere);
      return;
    }
    this.answer();
  }

  /** A bare number means something else in other units: it gets the unit it was typed in. @param {System} before */
  keepUnits(before) {
    for (const field of this.fields) {
      const unit = field.parentElement?.querySelector(`.hr-unit .hr-${before}`)?.textContent;
      if (unit && field.value.trim() && isBare(field.value)) field.value = `${field.value.trim()} ${unit}`;
    }
    if (this.box.dataset.state === "live") this.mirror();
  }

  // --- what a plan offers

  /** @param {Element} target */
  clicked(target) {
    const button = /** @type {HTMLElement | null} */ (target.closest("button[data-do]"));
    if (!button) return;
    const kind = button.dataset.kind ?? "";
    const plan = /** @type {HTMLDetailsElement} */ (button.closest(".hr-plan"));
    if (button.dataset.do === "print") {
      this.choose(kind);
      window.print();
    } else if (button.dataset.do === "copy") this.copy(plan);
    else {
      const rival = [.../** @type {NodeListOf<HTMLElement>} */ (this.shown.querySelectorAll(".hr-plan"))].find(
        (one) => one.dataset.kind !== kind && one.dataset.kind !== "maintain",
      );
      const found = new URLSearchParams([["v", this.edition], ["c", this.made]]);
      found.set("a", new URLSearchParams(this.pairs("", kind)).toString());
      found.set("b", new URLSearchParams(this.pairs("", rival?.dataset.kind ?? "nothing")).toString());
      found.set("units", system());
      location.assign(`${this.box.dataset.compareAddress}#compare?${found}`);
    }
  }

  /** @param {HTMLElement} details opened or closed */
  toggled(details) {
    if (!(details instanceof HTMLDetailsElement) || !details.matches(".hr-plan") || !details.open) return;
    const kind = details.dataset.kind ?? "";
    if (kind === "maintain" || kind === "nothing" || kind === this.pick) return;
    this.choose(kind);
    if (this.box.dataset.state === "live") {
      this.state = undefined;
      this.mirror();
    }
  }

  /** The plan that is printed and that the address names. @param {string} kind */
  choose(kind) {
    this.pick = kind;
    for (const plan of /** @type {NodeListOf<HTMLDetailsElement>} */ (this.shown.querySelectorAll(".hr-plan"))) {
      if (plan.dataset.kind === kind) {
        plan.dataset.picked = "true";
        plan.open = true;
      } else delete plan.dataset.picked;
    }
  }

  /** @param {HTMLDetailsElement} plan */
  async copy(plan) {
    const kind = plan.dataset.kind ?? "";
    const text = /** @type {HTMLTextAreaElement} */ (plan.querySelector(`textarea.hr-${system()}`));
    const address = new URL(this.fragment(kind), location.href).href;
    const said = plan.querySelector(".hr-said-back");
    const whole = `${text.value}\nThe plan: ${address}\n`;
    try {
      await navigator.clipboard.writeText(whole);
      if (said) said.textContent = "Copied. Paste it into a message to a shop.";
    } catch {
      // The clipboard is closed here: show the text, marked, for the reader to copy.
      text.value = whole;
      const folded = text.closest("details");
      if (folded) folded.open = true;
      text.focus();
      text.select();
      if (said) said.textContent = "The browser keeps its clipboard closed: the text stands below, marked, to be copied.";
    }
  }

  /** What paper says beside the plan. */
  sign() {
    const line = this.shown.querySelector(".hr-plan__paper");
    if (!line) return;
    line.querySelector(".hr-address")?.remove();
    const from = this.box.dataset.state === "live" ? new URL(this.fragment(this.pick, true), location.href).href : location.href;
    const address = element("span", ` Printed ${new Date().toISOString().slice(0, 10)} from ${from}`);
    address.className = "hr-address";
    line.append(address);
  }
}

// --- the page -----------------------------------------------------------------------------------------------------

/** The planners of the page that is shown. @type {Planner[]} */
let shown = [];

/** Runs for every page that holds a planner, also for one that came without a reload. */
export function setUp() {
  const boxes = [.../** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-plan]"))];
  const known = shown;
  shown = boxes.map((box) => known.find((planner) => planner.box === box) ?? new Planner(box));
  for (const planner of shown) {
    if (known.includes(planner)) continue;
    planner.replay();
    if (!planner.replaying && planner.box.dataset.state === "default") planner.catchUp();
  }
}

window.addEventListener("hashchange", () => {
  for (const planner of shown) if (planner.form.isConnected) planner.replay();
});
window.addEventListener("beforeprint", () => {
  for (const planner of shown) if (planner.form.isConnected) planner.sign();
});
document.addEventListener("headroom-units", (event) => {
  for (const planner of shown) if (planner.form.isConnected) planner.keepUnits(/** @type {CustomEvent} */ (event).detail.before);
});
