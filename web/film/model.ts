/** What a film page is given, and the named points on it. */

/** Column and row, or x and y on screen. A film pixel counts from the centre of the first one. */
export type Pair = readonly [number, number];

export type PointState = "placed" | "proposed" | "missing";

export interface FilmPoint {
  readonly name: string;
  readonly label: string;
  readonly state: PointState;
  readonly at: Pair | null;
  /** True once a person has looked at a proposal here and agreed. */
  readonly confirmed: boolean;
  /** How far the program trusts its proposal, in words; nothing for any other point. */
  readonly trust: string;
  /** True if the program calls its proposal sure. */
  readonly sure: boolean;
}

export interface FilmFacts {
  readonly source: string;
  readonly columns: number;
  readonly rows: number;
  readonly side: string;
  readonly region: string;
  readonly view: string;
  readonly liveUrl: string;
  readonly saveUrl: string;
  readonly basedOn: string;
  readonly proposeUrl: string;
  readonly scaleUrl: string;
  /** Millimetres of a pixel at the bones; null if they are not known. */
  readonly mmPerPx: number | null;
  readonly csrf: string;
  /** Under what name unsaved points are kept on this computer. */
  readonly key: string;
}

export interface SentPoint {
  readonly name: string;
  readonly col: number;
  readonly row: number;
  readonly state: PointState;
}

function size(element: Element, name: string): number {
  const value = Number(element.getAttribute(name));
  if (!Number.isInteger(value) || value < 1) {
    throw new Error(`The film's ${name} are not stated as a whole number.`);
  }
  return value;
}

export function readFacts(element: Element): FilmFacts {
  const text = (name: string): string => element.getAttribute(name)?.trim() ?? "";
  return {
    source: text("src"),
    columns: size(element, "columns"),
    rows: size(element, "rows"),
    side: text("side"),
    region: text("region"),
    view: text("view"),
    liveUrl: text("live-url"),
    saveUrl: text("save-url"),
    basedOn: text("based-on"),
    proposeUrl: text("propose-url"),
    scaleUrl: text("scale-url"),
    mmPerPx: Number(text("mm-per-px")) > 0 ? Number(text("mm-per-px")) : null,
    csrf: text("csrf"),
    key: text("film-key") || text("src"),
  };
}

export function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

export function readPoint(value: unknown): FilmPoint {
  if (!isRecord(value) || typeof value["name"] !== "string") {
    throw new Error("A point of this film has no name.");
  }
  const { name, label, col, row, state, confirmed } = value;
  const known = typeof col === "number" && typeof row === "number" && state !== "missing";
  return {
    name,
    label: typeof label === "string" && label !== "" ? label : name.replaceAll("_", " "),
    state: known ? (state === "placed" ? "placed" : "proposed") : "missing",
    at: known ? [col, row] : null,
    confirmed: confirmed === true,
    trust: "",
    sure: false,
  };
}

/** A ray whose points the program can propose, once both its ends are placed. */
export interface ProposedRay {
  readonly name: string;
  readonly first: string;
  readonly last: string;
  /** The end of a stump, where the ray can have one. */
  readonly stump: string;
  readonly bones: readonly string[];
}

/** One number that is said of the film for its scale. */
export interface ScaleField {
  readonly key: string;
  readonly label: string;
  readonly group: string;
  readonly text: string;
}

export interface Given {
  readonly points: FilmPoint[];
  readonly rounds: number;
  readonly rays: readonly ProposedRay[];
  readonly scale: readonly ScaleField[];
}

export const RULER = ["ruler_start", "ruler_end"] as const;

export function isRuler(name: string): boolean {
  return name === RULER[0] || name === RULER[1];
}

/** Both ends of the ruler, which are moved like points and belong to no round. */
function rulerPoints(given: unknown): FilmPoint[] {
  const ends: unknown[] = Array.isArray(given) ? given : [];
  return RULER.map((name, index) => {
    const end = ends[index];
    const [col, row] = Array.isArray(end) ? end : [null, null];
    return readPoint({ name, col, row, state: "placed" });
  });
}

const texts = (value: unknown): string[] =>
  Array.isArray(value) ? value.filter((one) => typeof one === "string") : [];

function readRay(value: unknown): ProposedRay[] {
  if (!isRecord(value)) return [];
  const text = (key: string): string => String(value[key] ?? "");
  const [name, first, last, stump] = ["name", "first", "last", "stump"].map(text);
  return [
    {
      name: name ?? "",
      first: first ?? "",
      last: last ?? "",
      stump: stump ?? "",
      bones: texts(value["bones"]),
    },
  ];
}

function readField(value: unknown): ScaleField[] {
  if (!isRecord(value)) return [];
  const text = (key: string): string => String(value[key] ?? "");
  return [{ key: text("key"), label: text("label"), group: text("group"), text: text("text") }];
}

const list = (value: unknown): unknown[] => (Array.isArray(value) ? value : []);

export function readGiven(text: string): Given {
  const given: unknown = JSON.parse(text);
  if (!isRecord(given) || !Array.isArray(given["points"])) {
    throw new Error("The points of this film are not listed.");
  }
  const rounds = given["rounds"];
  const scale = list(given["scale"]).flatMap(readField);
  const ruler = scale.length > 0 ? rulerPoints(given["ruler"]) : [];
  return {
    points: [...given["points"].map(readPoint), ...ruler],
    rounds: typeof rounds === "number" ? rounds : 0,
    rays: list(given["rays"]).flatMap(readRay),
    scale,
  };
}

/** Every point that has a position, as it is sent to the workbench. */
export function sentPoints(points: readonly FilmPoint[]): SentPoint[] {
  return points.flatMap(({ name, state, at }) =>
    at === null ? [] : [{ name, col: at[0], row: at[1], state }],
  );
}

export function replaced(points: readonly FilmPoint[], changed: FilmPoint): FilmPoint[] {
  return points.map((point) => (point.name === changed.name ? changed : point));
}

/** Keep a position on the film, to a hundredth of a pixel so that steps of 0.1 do not creep. */
export function onFilm(at: Pair, facts: FilmFacts): Pair {
  const held = (value: number, count: number): number =>
    Math.round(Math.min(Math.max(value, 0), count - 1) * 100) / 100;
  return [held(at[0], facts.columns), held(at[1], facts.rows)];
}
