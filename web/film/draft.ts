/** Points that are not saved yet, kept on this computer. */
import { isRecord, isRuler, onFilm, type FilmFacts, type FilmPoint } from "./model";

export interface Draft {
  readonly kept: string;
  readonly basedOn: string;
  readonly points: readonly FilmPoint[];
}

export class Drafts {
  readonly #facts: FilmFacts;
  readonly #key: string;

  constructor(facts: FilmFacts) {
    this.#facts = facts;
    this.#key = `thumbwright film ${facts.key}`;
  }

  /** Keep the points; false if this browser keeps nothing. */
  keep(points: readonly FilmPoint[], basedOn: string): boolean {
    // the ruler belongs to what is recorded of the film and to no round
    const own = points.filter((point) => !isRuler(point.name));
    const draft: Draft = { kept: new Date().toISOString(), basedOn, points: own };
    try {
      localStorage.setItem(this.#key, JSON.stringify(draft));
      return true;
    } catch {
      return false;
    }
  }

  drop(): void {
    try {
      localStorage.removeItem(this.#key);
    } catch {
      // a browser that keeps nothing has nothing to drop
    }
  }

  /** What was kept, laid over the points as the page came with them. */
  read(points: readonly FilmPoint[]): Draft | null {
    try {
      const given: unknown = JSON.parse(localStorage.getItem(this.#key) ?? "null");
      if (!isRecord(given) || !Array.isArray(given["points"])) return null;
      const kept = given["points"].filter(isRecord);
      const laid = points.map((point) => this.#laid(point, kept));
      if (JSON.stringify(laid) === JSON.stringify(points)) return null;
      return { kept: String(given["kept"]), basedOn: String(given["basedOn"]), points: laid };
    } catch {
      return null;
    }
  }

  #laid(point: FilmPoint, kept: readonly Record<string, unknown>[]): FilmPoint {
    const found = kept.find((one) => one["name"] === point.name);
    const at = found?.["at"];
    const state = found?.["state"];
    if (!Array.isArray(at) || at.length !== 2 || !at.every(Number.isFinite)) return point;
    if (state !== "placed" && state !== "proposed") return point;
    const [column, row] = at as [number, number];
    return {
      ...point,
      state,
      at: onFilm([column, row], this.#facts),
      confirmed: found?.["confirmed"] === true,
      trust: String(found?.["trust"] ?? ""),
      sure: found?.["sure"] === true,
    };
  }
}
