// @ts-check
// Charts that follow the fields of a calculator. Loaded by headroom.js at the first change of a field; until then, and
// where it cannot be loaded, the drawings of the build stay. Vega draws by the specification that the build drew by.

/** @typedef {{x: number, y: number, series: string}} Row */
/**
 * @typedef {object} Chart one chart of calc.curves.curve_steps, in one unit system
 * @property {string} title
 * @property {string} x
 * @property {string} y
 * @property {Row[]} rows
 * @property {Row[]} here
 * @property {{head: string[], rows: string[][]}} table
 * @property {string} says
 */
/** @typedef {{us: Chart[], si: Chart[]}} Curves */
/** @typedef {{specs: Record<"wide" | "narrow", any>, View: any, parse: any, expressionInterpreter: any}} Tools */

const home = new URL("charts/", import.meta.url);
const narrow = matchMedia("(max-width: 40em)"); // as in the style sheet

const SAYS = {
  live: ", all other values as in the fields above.",
  stale: ", for the last good answer.",
  dot: " A dot marks the answer.",
  none: "No point of this chart can be computed for these values.",
  failed: ", all other values at their defaults. It could not be drawn for what you typed.",
};

/** @type {Promise<Tools> | undefined} */
let loading;

/** What draws; asked for again after a failure. @returns {Promise<Tools>} */
function tools() {
  loading ??= load();
  loading.catch(() => (loading = undefined));
  return loading;
}

async function load() {
  const response = await fetch(new URL("manifest.json", home), { cache: "no-cache" });
  if (!response.ok) throw new Error(`charts/manifest.json: ${response.status}`);
  const { library, specs } = await response.json();
  return { specs, ...(await import(new URL(library, home).href)) };
}

/** The charts of one calculator. */
export class Charts {
  /** @param {Element} box what holds the form and its charts */
  constructor(box) {
    this.box = box;
    this.drawn = [.../** @type {NodeListOf<HTMLElement>} */ (box.querySelectorAll("[data-chart]"))].map((figure) => new Drawn(figure));
    /** @type {Curves | undefined} */
    this.curves = undefined;
    /** @type {Tools | undefined} */
    this.tools = undefined;
    all.add(this);
  }

  /** Get what draws, which may take a while the first time. */
  async prepare() {
    this.tools = await tools();
  }

  /** @param {Curves} curves */
  show(curves) {
    this.curves = curves;
    this.redraw();
    for (const drawn of this.drawn) drawn.putTable(curves);
  }

  /** Draw again: the unit system or the width of the page is another. */
  redraw() {
    if (!this.curves || !this.tools) return;
    const charts = this.curves[document.documentElement.dataset.units === "si" ? "si" : "us"];
    for (const drawn of this.drawn) {
      const chart = charts[drawn.number];
      if (chart) drawn.draw(chart, this.tools);
    }
  }

  /** What is typed cannot be used: the charts stay as they are, and say so. */
  stale() {
    if (this.curves) for (const drawn of this.drawn) drawn.putState("stale", SAYS.stale);
  }

  /** The charts for what is typed could not be drawn. */
  failed() {
    for (const drawn of this.drawn) drawn.putState("failed", this.curves ? SAYS.stale : SAYS.failed);
  }

  /** The page is gone. */
  end() {
    for (const drawn of this.drawn) drawn.forget();
    all.delete(this);
  }
}

/** One chart of the page: its drawing, the words above it, the table behind it. */
class Drawn {
  /** @param {HTMLElement} figure */
  constructor(figure) {
    this.figure = figure;
    this.number = Number(figure.dataset.chart);
    this.place = /** @type {HTMLElement} */ (figure.querySelector("[data-chart-drawing]"));
    this.words = figure.querySelector("[data-chart-values]");
    this.table = figure.querySelector("table");
    this.view = undefined;
    this.width = "";
  }

  /** @param {Chart} chart @param {Tools} tools */
  draw(chart, tools) {
    this.putState("live", SAYS.live + (chart.here.length ? SAYS.dot : ""));
    if (!chart.rows.length) {
      this.forget();
      this.place.removeAttribute("role");
      this.place.removeAttribute("aria-label");
      const words = document.createElement("p");
      words.textContent = SAYS.none;
      this.place.replaceChildren(words);
      return;
    }
    const width = narrow.matches ? "narrow" : "wide";
    if (!this.view || this.width !== width) this.begin(width, tools);
    this.view.signal("x_title", chart.x).signal("y_title", chart.y);
    // Vega writes into the rows it is given.
    this.view.data("points", chart.rows.map((row) => ({ ...row })));
    this.view.data("here", chart.here.map((row) => ({ ...row })));
    this.view.run();
    this.place.setAttribute("role", "img");
    this.place.setAttribute("aria-label", `Chart: ${chart.title}. ${chart.says}`);
  }

  /** @param {"wide" | "narrow"} width @param {Tools} tools */
  begin(width, tools) {
    this.forget();
    this.width = width;
    const host = document.createElement("div");
    host.setAttribute("aria-hidden", "true"); // the image has its text from what holds it
    this.place.replaceChildren(host);
    const flow = tools.parse(tools.specs[width], undefined, { ast: true });
    this.view = new tools.View(flow, { expr: tools.expressionInterpreter, renderer: "svg", container: host });
  }

  forget() {
    this.view?.finalize();
    this.view = undefined;
  }

  /** @param {"live" | "stale" | "failed"} state @param {string} words */
  putState(state, words) {
    this.figure.dataset.state = state;
    if (this.words && this.words.textContent !== words) this.words.textContent = words;
  }

  /** @param {Curves} curves */
  putTable(curves) {
    const us = curves.us[this.number]?.table;
    const si = curves.si[this.number]?.table;
    if (!us || !si || !this.table) return;
    const head = this.table.tHead?.rows[0];
    head?.replaceChildren(...us.head.map((text, column) => cell("th", "col", text, si.head[column])));
    const rows = us.rows.map((texts, row) => {
      const line = document.createElement("tr");
      line.append(...texts.map((text, column) => cell(column ? "td" : "th", column ? "" : "row", text, si.rows[row][column])));
      return line;
    });
    this.table.tBodies[0]?.replaceChildren(...rows);
    const folded = this.figure.querySelector("details");
    if (folded) folded.hidden = !rows.length;
  }
}

/**
 * A cell of a table with its text in both unit systems.
 * @param {"th" | "td"} tag @param {string} scope @param {string} us @param {string} si
 */
function cell(tag, scope, us, si) {
  const made = document.createElement(tag);
  if (scope) made.setAttribute("scope", scope);
  made.className = "hr-num";
  if (us === si) made.textContent = us;
  else made.append(span("hr-us", us), span("hr-si", si));
  return made;
}

/** @param {string} name @param {string} text */
function span(name, text) {
  const made = document.createElement("span");
  made.className = name;
  made.textContent = text;
  return made;
}

/** @type {Set<Charts>} */
const all = new Set();

narrow.addEventListener("change", () => {
  for (const charts of all) charts.redraw();
});
