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
    csrf: text("csrf"),
    key: text("film-key") || text("src"),
  };
}

export function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}

function readPoint(value: unknown): FilmPoint {
  if (!isRecord(value) || typeof value["name"] !== "string") {
    throw new Error("A point of this film has no name.");
  }
  const { name, label, col, row, state } = value;
  const known = typeof col === "number" && typeof row === "number" && state !== "missing";
  return {
    name,
    label: typeof label === "string" && label !== "" ? label : name.replaceAll("_", " "),
    state: known ? (state === "placed" ? "placed" : "proposed") : "missing",
    at: known ? [col, row] : null,
    confirmed: false,
  };
}

export function readPoints(text: string): { points: FilmPoint[]; rounds: number } {
  const given: unknown = JSON.parse(text);
  if (!isRecord(given) || !Array.isArray(given["points"])) {
    throw new Error("The points of this film are not listed.");
  }
  const rounds = given["rounds"];
  return {
    points: given["points"].map(readPoint),
    rounds: typeof rounds === "number" ? rounds : 0,
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
