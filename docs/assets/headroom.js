// @ts-check
// What a page of Headroom does beyond its HTML: one unit system for the whole page, and calculators that answer as you
// type. The HTML is complete without this script; here texts and attributes are swapped, and markup is never parsed.

/** @typedef {"us" | "si"} System */
/** @typedef {{us: string, si: string}} Pair a text for each unit system */
/** @typedef {{input: string, message: string}} Problem */
/**
 * @typedef {object} Answer what calc.present.page_answer returns
 * @property {boolean} ok
 * @property {Problem[]} [problems]
 * @property {Record<string, Pair | string>} [slots]
 * @property {Record<string, number>} [shares]
 * @property {Record<string, [number, number]>} [spans]
 * @property {Record<string, {id: string, label: string}>} [grades]
 * @property {string[]} [warnings]
 * @property {Record<string, Pair & {understood_us: string, understood_si: string}>} [inputs]
 */
/** @typedef {(share: number, words: string) => void} Progress */
/** @typedef {{asker: unknown, settle: (answer: any) => void, fail: (why: Error) => void, call: object, progress?: Progress, ticket?: number}} Asked */
/** @typedef {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} Field */

const PATIENCE = 20_000; // milliseconds until a page says that Python is late
const PAUSE = 450; // milliseconds without typing before a text counts as finished, and its error is shown
const LONGEST = 400; // characters that a link may put into a field
const REMEMBERED = "headroom-units";

const SAYS = {
  loading: "Starting the calculator…",
  live: "Live: the answer follows what you type.",
  stale: "Not updated: this is still the last good answer.",
  late: "The calculator is still not ready. The answer shown was computed earlier; what you typed is kept.",
  failed: "The calculator could not start in this browser. The answer shown was computed earlier; what you typed is kept.",
  error: "This calculation failed. The answer shown was computed earlier; what you typed is kept.",
};

// Read once: a script's address is relative, and would be another after a change of pages without a reload.
const own = { src: /** @type {HTMLScriptElement} */ (document.querySelector('script[src*="assets/headroom.js"]')).src };

// --- Python -------------------------------------------------------------------------------------------------------

/** The one Python of a visit. Page changes without a reload leave it running. */
class Python {
  constructor() {
    /** @type {Worker | undefined} */
    this.worker = undefined;
    this.full = false;
    this.ready = false;
    this.tickets = 0;
    /** @type {Asked | undefined} */
    this.underWay = undefined;
    /** @type {Map<unknown, Asked>} the newest request of each asker */
    this.waiting = new Map();
    /** @type {Map<number, {settle: (curves: any) => void, fail: (why: Error) => void}>} charts asked for, by number */
    this.charts = new Map();
  }

  /** Begin to load Python, unless that was done. */
  start() {
    if (this.worker) return;
    this.worker = new Worker(new URL("calc-worker.js", own.src), { type: "module", name: "calc" });
    this.worker.onmessage = ({ data }) => this.hear(data);
    this.worker.onerror = (event) => {
      event.preventDefault();
      this.hear({ failed: event.message || "the worker did not load" });
    };
    this.worker.postMessage({ start: { full: this.full } });
  }

  /**
   * The answer to one request. A newer request of the same asker takes the place of one that still waits, which then
   * resolves to undefined; a plan that is under way is cancelled by a newer one, as far as it can be stopped.
   * @param {unknown} asker
   * @param {{calculator: string, inputs: Record<string, string>, system: System} | {plan: object}} call
   * @param {Progress} [progress] is told how far a plan has come
   * @returns {Promise<any>} an Answer, or what the planner answers
   */
  ask(asker, call, progress) {
    this.start();
    return new Promise((settle, fail) => {
      this.waiting.get(asker)?.settle(undefined);
      this.waiting.set(asker, { asker, settle, fail, call, progress });
      if ("plan" in call) this.cancel(asker);
      this.next();
    });
  }

  /** Stop the plan of an asker that is under way, as far as it can be stopped: something newer is coming. @param {unknown} asker */
  cancel(asker) {
    if (this.underWay?.asker === asker) this.worker?.postMessage({ cancel: this.underWay.ticket });
  }

  /**
   * What the charts of a calculator show. Numbers go first; when newer charts of the same calculator are asked for
   * before these are done, they resolve to undefined.
   * @param {{calculator: string, inputs: Record<string, string>, system: System}} call
   * @returns {Promise<any>}
   */
  curves(call) {
    return new Promise((settle, fail) => {
      const chart = ++this.tickets;
      this.charts.set(chart, { settle, fail });
      this.worker?.postMessage({ chart, ...call });
    });
  }

  next() {
    if (!this.ready || this.underWay || !this.worker) return;
    for (const [asker, request] of this.waiting) {
      this.waiting.delete(asker);
      request.ticket = ++this.tickets;
      this.underWay = request;
      this.worker.postMessage({ ticket: request.ticket, ...request.call });
      return;
    }
  }

  /** @param {any} data a message of the worker */
  hear(data) {
    if ("progress" in data) {
      if (data.ticket === this.underWay?.ticket) this.underWay?.progress?.(data.progress, data.words);
      return;
    }
    if (data.ready) this.ready = true;
    else if ("chart" in data) {
      const asked = this.charts.get(data.chart);
      this.charts.delete(data.chart);
      if ("curves" in data) asked?.settle(data.curves ? JSON.parse(data.curves) : undefined);
      else asked?.fail(new Error(data.failed));
    } else if (this.underWay && data.ticket === this.underWay.ticket) {
      const { settle, fail } = this.underWay;
      this.underWay = undefined;
      if ("answer" in data) settle(JSON.parse(data.answer));
      else fail(new Error(data.failed));
    } else if ("failed" in data) this.lost(data.failed);
    this.next();
  }

  /** @param {string} why Python ended: try the whole standard library once, then give up until somebody asks again. */
  lost(why) {
    this.worker?.terminate();
    this.worker = undefined;
    this.ready = false;
    const cut = this.underWay;
    this.underWay = undefined;
    for (const { fail } of this.charts.values()) fail(new Error(why));
    this.charts.clear();
    if (!this.full) {
      this.full = true;
      console.info(`Headroom: starting again with the whole standard library (${why})`);
      if (cut && this.waiting.has(cut.asker)) cut.settle(undefined);
      else if (cut) this.waiting.set(cut.asker, cut);
      this.start();
      return;
    }
    this.full = false;
    const all = [...this.waiting.values(), ...(cut ? [cut] : [])];
    this.waiting.clear();
    for (const { fail } of all) fail(new Error(why));
  }
}

/** @type {Python} */
const python = /** @type {any} */ (window).headroomPython ?? (/** @type {any} */ (window).headroomPython = new Python());

// --- units --------------------------------------------------------------------------------------------------------

/** @returns {System} */
function system() {
  return document.documentElement.dataset.units === "si" ? "si" : "us";
}

/** @param {System} chosen */
function showUnits(chosen) {
  document.documentElement.dataset.units = chosen;
  for (const button of document.querySelectorAll("button[data-units]")) {
    button.setAttribute("aria-pressed", String(/** @type {HTMLElement} */ (button).dataset.units === chosen));
  }
  for (const calculator of shown.values()) calculator.charts?.redraw();
}

function rememberedUnits() {
  try {
    return localStorage.getItem(REMEMBERED) === "si" ? "si" : "us";
  } catch {
    return "us"; // storage is closed, as in private windows and locked frames
  }
}

/** @param {System} chosen */
function switchUnits(chosen) {
  const before = system();
  showUnits(chosen);
  try {
    localStorage.setItem(REMEMBERED, chosen);
  } catch {
    // the choice then lasts for this page
  }
  if (before === chosen) return;
  for (const calculator of shown.values()) calculator.convert(before, chosen);
  document.dispatchEvent(new CustomEvent("headroom-units", { detail: { before, chosen } }));
}

/** A number without a unit of its own, which therefore means something else after a change of units. @param {string} text */
function isBare(text) {
  const plain = text.replace(/\[[^\]]*\]/g, "").replace(/\bto\b/gi, " ").replace(/(\d)e([+\-−]?\d)/gi, "$1$2");
  return !/[^\d\s.,;'+\-−–…]/.test(plain);
}

// --- calculators --------------------------------------------------------------------------------------------------

/** One calculator form of the page that is shown. */
class CalculatorForm {
  /** @param {HTMLFormElement} form */
  constructor(form) {
    this.form = form;
    this.id = form.dataset.calculator ?? "";
    /** @type {Field[]} */
    this.fields = [.../** @type {NodeListOf<Field>} */ (form.querySelectorAll("input[name], select[name], textarea[name]"))];
    /** What a field's text is in either unit system, kept so that switching there and back returns what was typed. @type {Map<Field, Pair>} */
    this.pairs = new Map();
    this.asked = 0;
    /** @type {Record<"mirroring" | "showingErrors" | "losingPatience", number | undefined>} */
    this.timers = { mirroring: undefined, showingErrors: undefined, losingPatience: undefined };
    this.box = form.closest(".hr-calc-box");
    this.hasCharts = this.box?.querySelector("[data-chart]") != null;
    /** What draws the charts, from the first change of a field on. @type {import("./charts.js").Charts | undefined} */
    this.charts = undefined;
    this.chartsAsked = 0;
    /** Conversions under way; texts and shown units disagree until they are done. @type {Promise<unknown> | undefined} */
    this.converting = undefined;
    for (const field of this.fields) this.pairs.set(field, this.defaults(field));
    form.addEventListener("focusin", (event) => this.fields.includes(/** @type {any} */ (event.target)) && this.interest());
    form.addEventListener("pointerover", (event) => {
      // A finger that scrolls past has shown no interest; a pointer that rests on a field has.
      if (event.pointerType === "mouse" && this.fields.includes(/** @type {any} */ (event.target))) this.interest();
    });
    form.addEventListener("input", () => this.edited());
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.form.querySelector("[aria-invalid=true]")?.scrollIntoView({ block: "nearest" });
    });
    form.addEventListener("reset", (event) => {
      event.preventDefault();
      this.fill({});
      this.edited();
    });
  }

  /** @param {Field} field @returns {Pair} */
  defaults(field) {
    const first =
      field instanceof HTMLSelectElement
        ? ([...field.options].find((option) => option.defaultSelected) ?? field.options[0])?.value ?? ""
        : field.defaultValue;
    return { us: field.dataset.us ?? first, si: field.dataset.si ?? first };
  }

  /** Put texts into the fields, defaults where none is given. @param {Record<string, string>} texts */
  fill(texts) {
    for (const field of this.fields) {
      const given = texts[field.name]?.slice(0, LONGEST);
      const possible = given !== undefined && !(field instanceof HTMLSelectElement && ![...field.options].some((option) => option.value === given));
      this.pairs.set(field, this.defaults(field));
      field.value = possible ? given : this.defaults(field)[system()];
    }
  }

  /** Texts of the fields that are not at their default. @returns {Record<string, string>} */
  changed() {
    const edited = this.fields.filter((field) => field.value !== this.defaults(field)[system()]);
    return Object.fromEntries(edited.map((field) => [field.name, field.value]));
  }

  /** A way back to the defaults, which is of use only where this script runs. */
  offerReset() {
    const button = /** @type {HTMLButtonElement} */ (element("button", "Back to the default values"));
    button.type = "reset";
    button.className = "hr-reset";
    this.form.querySelector(".hr-summary")?.before(button);
  }

  interest() {
    if (this.form.dataset.state === "default") this.answer();
  }

  edited() {
    this.answer();
    this.mirrorSoon();
  }

  mirrorSoon() {
    clearTimeout(this.timers.mirroring);
    this.timers.mirroring = setTimeout(() => this.mirror(), PAUSE);
  }

  /** Write what was typed into the address, so that the link replays it. */
  mirror() {
    if (!this.form.isConnected) return;
    const changed = Object.entries(this.changed());
    if (!changed.length && !location.hash.startsWith(`#${this.id}?`)) return;
    const query = new URLSearchParams([...changed, ["units", system()]]);
    const fragment = changed.length ? `#${this.id}?${query}` : "";
    history.replaceState(history.state, "", location.pathname + location.search + fragment);
  }

  async answer() {
    const ticket = ++this.asked;
    clearTimeout(this.timers.showingErrors);
    if (!python.ready) this.say("loading");
    clearTimeout(this.timers.losingPatience);
    this.timers.losingPatience = setTimeout(() => this.say("failed", SAYS.late), PATIENCE);
    try {
      python.start();
      await this.converting;
      if (ticket !== this.asked) return;
      const units = system();
      const call = { calculator: this.id, inputs: this.changed(), system: units };
      const answer = await python.ask(this.form, call);
      if (!answer || ticket !== this.asked || !this.form.isConnected) return;
      if (answer.ok) {
        this.show(answer, units);
        if (this.hasCharts && (this.chartsAsked || Object.keys(call.inputs).length)) this.draw(call);
      } else {
        this.say("stale");
        this.chartsAsked++;
        this.charts?.stale();
        this.timers.showingErrors = setTimeout(() => this.complain(answer.problems ?? []), PAUSE);
      }
    } catch (error) {
      if (ticket !== this.asked) return;
      console.info(`Headroom: ${error instanceof Error ? error.message : error}`);
      this.say("failed", python.ready ? SAYS.error : SAYS.failed);
      this.charts?.stale();
    }
    clearTimeout(this.timers.losingPatience);
  }

  /** Let the charts follow an answer that is shown already. @param {{calculator: string, inputs: Record<string, string>, system: System}} call */
  async draw(call) {
    const ticket = ++this.chartsAsked;
    try {
      const asked = python.curves(call);
      asked.catch(() => {}); // told below, once what draws is there
      if (!this.charts) {
        const { Charts } = await import(new URL("charts.js", own.src).href);
        this.charts ??= /** @type {import("./charts.js").Charts} */ (new Charts(/** @type {Element} */ (this.box)));
      }
      await this.charts.prepare();
      const curves = await asked;
      if (curves && ticket === this.chartsAsked && this.form.isConnected) this.charts.show(curves);
    } catch (error) {
      if (ticket !== this.chartsAsked) return;
      console.info(`Headroom: ${error instanceof Error ? error.message : error}`);
      this.charts?.failed();
    }
  }

  /** @param {"loading" | "live" | "stale" | "failed"} state @param {string} [words] */
  say(state, words = SAYS[state]) {
    this.form.dataset.state = state;
    const status = this.form.querySelector(".hr-status");
    if (status && status.textContent !== words) status.textContent = words;
    // A picture that follows stands far below the status: it tells by itself when it has fallen behind.
    const behind = state === "stale" || state === "failed";
    for (const picture of this.followers) {
      picture.dataset.state = state;
      for (const place of picture.querySelectorAll("[data-behind]")) /** @type {HTMLElement} */ (place).hidden = !behind;
    }
  }

  /** The pictures elsewhere on the page that follow this form. @returns {HTMLElement[]} */
  get followers() {
    return [.../** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(`[data-follows="${CSS.escape(this.id)}"]`))];
  }

  /** @param {Answer} answer @param {System} units the system in which the fields were read */
  show(answer, units) {
    const roots = [this.form, ...this.followers];
    const find = (/** @type {string} */ name) => roots.flatMap((root) => [.../** @type {NodeListOf<HTMLElement>} */ (root.querySelectorAll(`[data-${name}]`))]);
    for (const place of find("slot")) putText(place, shownText(answer, place.dataset.slot ?? ""));
    for (const place of find("span")) {
      const [low, high] = answer.spans?.[place.dataset.span ?? ""] ?? [0, 0];
      place.style.setProperty("--hr-low", low.toFixed(4));
      place.style.setProperty("--hr-high", high.toFixed(4));
    }
    for (const place of find("bar")) {
      const share = answer.shares?.[place.dataset.bar ?? ""];
      if (share !== undefined) place.style.setProperty("--hr-share", share.toFixed(4));
    }
    for (const place of find("grade-of")) {
      const grade = answer.grades?.[place.dataset.gradeOf ?? ""];
      if (grade) putGrade(place, grade);
    }
    for (const list of this.form.querySelectorAll('[data-list="warnings"]')) {
      list.replaceChildren(...(answer.warnings ?? []).map((warning) => element("li", warning)));
    }
    for (const field of this.fields) {
      const both = answer.inputs?.[field.name];
      if (!both) continue;
      this.pairs.set(field, pairOf(field.value, both, units));
      // A text that says more than a plain number is said back.
      const plain = field.value.trim() === both[units] || field instanceof HTMLSelectElement;
      this.sayUnderstood(field, plain ? undefined : { us: both.understood_us, si: both.understood_si });
    }
    this.complain([]);
    this.say("live");
  }

  /** @param {Field} field @param {Pair | undefined} understood */
  sayUnderstood(field, understood) {
    const id = `${field.id}-understood`;
    document.getElementById(id)?.remove();
    if (!understood) return;
    const quantity = element("span");
    putText(quantity, understood);
    const place = element("span");
    place.id = id;
    place.className = "hr-hint hr-understood";
    place.append("Understood: ", quantity);
    document.getElementById(`${field.id}-error`)?.before(place);
    const described = (field.getAttribute("aria-describedby") ?? "").split(" ").filter((one) => one && one !== id);
    field.setAttribute("aria-describedby", [...described, id].join(" "));
  }

  /** Show each problem beside its field and all of them in the summary. @param {Problem[]} problems */
  complain(problems) {
    for (const field of this.fields) {
      const problem = problems.find((one) => one.input === field.name);
      const place = document.getElementById(`${field.id}-error`);
      if (place) {
        place.textContent = problem?.message ?? "";
        place.hidden = !problem;
      }
      if (problem) this.sayUnderstood(field, undefined);
      if (problem) field.setAttribute("aria-invalid", "true");
      else field.removeAttribute("aria-invalid");
    }
    const summary = /** @type {HTMLElement | null} */ (this.form.querySelector(".hr-summary"));
    if (!summary) return;
    summary.hidden = !problems.length;
    const lines = problems.map((problem) => {
      const field = this.fields.find((one) => one.name === problem.input);
      const line = element("li");
      const name = field?.labels?.[0]?.firstChild?.textContent?.trim() || problem.input;
      const link = /** @type {HTMLAnchorElement} */ (element("a", `${name}: ${problem.message}`));
      if (field) {
        link.href = `#${field.id}`;
        link.addEventListener("click", (event) => {
          event.preventDefault();
          // The theme would take the link for a way to another page, load this one anew and lose what was typed.
          event.stopPropagation();
          reveal(field);
          field.focus();
        });
      }
      line.append(link);
      return line;
    });
    const list = element("ul");
    list.append(...lines);
    if (problems.length) summary.replaceChildren(element("p", SAYS.stale), list);
    else summary.replaceChildren();
  }

  /** Turn what stands in the fields into the other unit system. @param {System} before @param {System} after */
  convert(before, after) {
    /** @type {Field[]} */
    const unknown = [];
    for (const field of this.fields) {
      const pair = this.pairs.get(field) ?? this.defaults(field);
      if (pair[before] === field.value) field.value = pair[after];
      else if (field.value.trim() && isBare(field.value)) unknown.push(field);
    }
    this.mirrorSoon();
    if (!unknown.length) return;
    const done = Promise.allSettled([this.converting, ...unknown.map((field) => this.convertAsked(field, before, after))]);
    this.converting = done;
    done.then(() => {
      if (this.converting === done) this.converting = undefined;
    });
    this.answer();
  }

  /**
   * A text that no answer has told us in both systems yet. Asked alone, beside defaults, it is understood even while
   * another field is wrong.
   * @param {Field} field @param {System} before @param {System} after
   */
  async convertAsked(field, before, after) {
    const text = field.value;
    const answer = await python.ask(field, { calculator: this.id, inputs: { [field.name]: text }, system: before });
    const both = answer?.inputs?.[field.name];
    if (!both || field.value !== text || system() !== after) return;
    const pair = pairOf(text, both, before);
    this.pairs.set(field, pair);
    field.value = pair[after];
  }
}

/**
 * The text of a field in both systems: what was typed stays as it was typed in its own.
 * @param {string} typed @param {Pair} both @param {System} typedIn @returns {Pair}
 */
function pairOf(typed, both, typedIn) {
  if (!isBare(typed)) return { us: typed, si: typed };
  const grade = /\s*\[[^\]]*\]\s*$/.exec(typed)?.[0] ?? "";
  const pair = { us: both.us + grade, si: both.si + grade };
  pair[typedIn] = typed;
  return pair;
}

/** @param {string} tag @param {string} [text] */
function element(tag, text = "") {
  const made = document.createElement(tag);
  made.textContent = text;
  return made;
}

/**
 * The text of an output, or of an input as it was understood where the key is "given." and its name.
 * @param {Answer} answer @param {string} key @returns {Pair | string | undefined}
 */
function shownText(answer, key) {
  if (!key.startsWith("given.")) return answer.slots?.[key];
  const given = answer.inputs?.[key.slice("given.".length)];
  return given && { us: given.understood_us, si: given.understood_si };
}

/** @param {Element} place @param {Pair | string | undefined} value */
function putText(place, value) {
  if (value === undefined) return;
  if (typeof value === "string") {
    place.textContent = value;
    return;
  }
  const parts = /** @type {System[]} */ (["us", "si"]).map((one) => {
    // Text of a drawing is in the drawing's own namespace.
    const part = document.createElementNS(place.namespaceURI, place instanceof SVGElement ? "tspan" : "span");
    part.textContent = value[one];
    part.setAttribute("class", `hr-${one}`);
    return part;
  });
  place.replaceChildren(...parts);
}

/** @param {HTMLElement} place @param {{id: string, label: string}} grade */
function putGrade(place, grade) {
  place.dataset.grade = grade.id;
  if (place.matches(".hr-mark")) {
    place.textContent = grade.id[0].toUpperCase();
    place.setAttribute("aria-label", `Source: computed, weakest grade: ${grade.label}`);
    putNote(place, grade);
  } else place.textContent = grade.label;
}

/**
 * Let a mark open a note that names this grade. The note of the build may belong to other figures too, so it stays as
 * it is and a copy of it changes.
 * @param {HTMLElement} mark @param {{id: string, label: string}} grade
 */
function putNote(mark, grade) {
  mark.dataset.builtNote ??= mark.getAttribute("popovertarget") ?? "";
  const built = document.getElementById(mark.dataset.builtNote);
  if (!built?.querySelector("[data-weakest]")) return;
  const id = `${built.id}-${grade.id}`;
  let note = document.getElementById(id);
  if (!note) {
    note = /** @type {HTMLElement} */ (built.cloneNode(true));
    note.id = id;
    for (const weakest of note.querySelectorAll("[data-weakest]")) weakest.textContent = grade.label;
    built.after(note);
  }
  if (mark.getAttribute("popovertarget") !== id) mark.setAttribute("popovertarget", id);
}

/** Open the folded part of a form that holds a field. @param {Element} field */
function reveal(field) {
  const folded = field.closest("details");
  if (folded) folded.open = true;
}

// --- the page -----------------------------------------------------------------------------------------------------

/** The calculators of the page that is shown, by id. @type {Map<string, CalculatorForm>} */
let shown = new Map();

/** What a link asks for: `#calculator?input=text&units=si`. Anything else in a fragment is left alone. */
function replay() {
  const [id, query] = location.hash.slice(1).split(/\?(.*)/s);
  const calculator = shown.get(id);
  if (!calculator || query === undefined) return;
  const given = new URLSearchParams(query);
  const units = given.get("units");
  if (units === "us" || units === "si") showUnits(units);
  given.delete("units");
  calculator.fill(Object.fromEntries(given));
  for (const field of calculator.fields) if (given.has(field.name)) reveal(field);
  calculator.form.scrollIntoView({ block: "start" });
  if (Object.keys(calculator.changed()).length) calculator.answer();
}

/** Runs for every page, also for one that came without a reload. */
function setUp() {
  if (document.querySelector("[data-plan]")) import(new URL("plan.js", own.src).href).then((planner) => planner.setUp());
  for (const calculator of shown.values()) calculator.charts?.end();
  shown = new Map();
  showUnits(system());
  for (const form of /** @type {NodeListOf<HTMLFormElement>} */ (document.querySelectorAll("form.hr-calc[data-calculator]"))) {
    const calculator = new CalculatorForm(form);
    calculator.fill({});
    calculator.offerReset();
    if (!shown.has(calculator.id)) shown.set(calculator.id, calculator);
  }
  replay();
}

document.addEventListener("click", (event) => {
  const button = /** @type {Element} */ (event.target).closest?.("button[data-units]");
  if (button) switchUnits(/** @type {HTMLElement} */ (button).dataset.units === "si" ? "si" : "us");
});

// A popover's button says whether its note is open; the event does not bubble.
document.addEventListener(
  "toggle",
  (event) => {
    const note = /** @type {Element} */ (event.target);
    if (!note.hasAttribute("popover")) return;
    for (const button of document.querySelectorAll(`[popovertarget="${CSS.escape(note.id)}"]`)) {
      button.setAttribute("aria-expanded", String(/** @type {ToggleEvent} */ (event).newState === "open"));
    }
  },
  true,
);

window.addEventListener("hashchange", replay);

// Paper cannot be tapped: each mark names the number of its note, and the sheet names the address that opens it again.
// The build did both; what a script wrote since is numbered here.
window.addEventListener("beforeprint", () => {
  for (const note of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[popover]:popover-open"))) note.hidePopover();
  /** @type {Map<string, string>} */
  const numbers = new Map();
  for (const mark of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[popovertarget]"))) {
    const note = mark.getAttribute("popovertarget") ?? "";
    if (!numbers.has(note)) numbers.set(note, String(numbers.size + 1));
    mark.dataset.note = numbers.get(note);
  }
  for (const note of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(".hr-note"))) {
    const number = numbers.get(note.id);
    if (number) note.dataset.note = number;
    else delete note.dataset.note;
  }
  for (const place of document.querySelectorAll("[data-address]")) {
    if (location.hash.includes("?")) place.textContent = location.href;
  }
});

export { element, isBare, putText, python, showUnits, system };

document.documentElement.dataset.units = rememberedUnits();
const pages = /** @type {any} */ (window).document$; // the theme's stream of pages, where it changes them without a reload
if (pages) pages.subscribe(setUp);
else setUp();
