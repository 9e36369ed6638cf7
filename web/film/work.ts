/** What the workbench does on request: proposals of points, and the scale of the film. */
import type { Answer } from "./drawing";
import { messageOf, post } from "./link";
import {
  isRecord,
  isRuler,
  onFilm,
  sentPoints,
  type FilmFacts,
  type FilmPoint,
  type Given,
  type ProposedRay,
  type SentPoint,
} from "./model";
import { Proposals, type ProposalHost } from "./proposals";
import { ScaleForm, type FieldFault, type ScaleHost } from "./scale";
import { proposedWords, SAYS } from "./words";

export interface WorkHost {
  readonly points: readonly FilmPoint[];
  basedOn: string;
  /** Take these points instead, as one step that can be taken back, and say so. */
  instead(points: readonly FilmPoint[], said: string): void;
  follow(): void;
}

const dismissed = (point: FilmPoint): FilmPoint => ({ ...point, state: "missing", at: null });

export class Work implements ProposalHost, ScaleHost {
  readonly #facts: FilmFacts;
  readonly #host: WorkHost;
  readonly #proposals: Proposals | null;
  readonly #scale: ScaleForm | null;
  #busy = false;

  constructor(facts: FilmFacts, given: Given, host: WorkHost) {
    this.#facts = facts;
    this.#host = host;
    const asks = facts.proposeUrl !== "" && given.rays.length > 0;
    this.#proposals = asks ? new Proposals(this, given.rays) : null;
    const scales = facts.scaleUrl !== "" && given.scale.length > 0;
    this.#scale = scales ? new ScaleForm(this, given.scale) : null;
  }

  get sections(): { before: HTMLElement[]; after: HTMLElement[] } {
    const shown = (one: Proposals | ScaleForm | null): HTMLElement[] => (one ? [one.element] : []);
    return { before: shown(this.#proposals), after: shown(this.#scale) };
  }

  body(points: SentPoint[]): unknown {
    const scale = this.#scale?.draft ?? null;
    return scale === null ? { points } : { points, scale };
  }

  answered(answer: Answer): void {
    this.#scale?.show(answer);
  }

  showPoints(points: readonly FilmPoint[]): void {
    this.#proposals?.show(points);
  }

  rulerMoved(): void {
    this.#scale?.changed();
  }

  // proposals

  propose(ray: ProposedRay, bones: number): void {
    void this.#propose(ray, bones);
  }

  confirmSure(): void {
    const sure = this.#host.points.filter((point) => point.state === "proposed" && point.sure);
    const points = this.#host.points.map((point) =>
      sure.includes(point) ? { ...point, state: "placed" as const, confirmed: true } : point,
    );
    this.#said(`${sure.length} confirmed.`, "good");
    this.#host.instead(points, `${sure.length} points confirmed that were called sure.`);
  }

  dismissAll(): void {
    const points = this.#host.points.map((p) => (p.state === "proposed" ? dismissed(p) : p));
    this.#said("", "good");
    this.#host.instead(points, "All proposals dismissed.");
  }

  dismiss(name: string): void {
    const point = this.#host.points.find((one) => one.name === name);
    if (point?.state !== "proposed") return;
    const points = this.#host.points.map((one) => (one === point ? dismissed(one) : one));
    this.#host.instead(points, `${point.label}: proposal dismissed.`);
  }

  async #propose(ray: ProposedRay, bones: number): Promise<void> {
    if (this.#busy) return;
    this.#busy = true;
    this.#said(SAYS.proposing, "busy");
    const sent = { ...(this.body(sentPoints(this.#host.points)) as object), ray: ray.name, bones };
    const reply = await post(this.#facts.proposeUrl, sent, this.#facts.csrf);
    this.#busy = false;
    const found = isRecord(reply.body) ? reply.body["points"] : null;
    if (!reply.ok || !Array.isArray(found)) {
      this.#said(messageOf(reply) ?? (reply.answered ? SAYS.noProposal : SAYS.noAnswer), "bad");
      return;
    }
    this.#take(ray.name, found.filter(isRecord));
  }

  #take(ray: string, found: readonly Record<string, unknown>[]): void {
    let [count, sure] = [0, 0];
    const points = this.#host.points.map((point): FilmPoint => {
      const one = found.find(({ name }) => name === point.name);
      const { col, row } = one ?? {};
      // what a person placed meanwhile stays as it is
      if (point.state === "placed" || typeof col !== "number" || typeof row !== "number") {
        return point;
      }
      count += 1;
      sure += one?.["sure"] === true ? 1 : 0;
      return {
        ...point,
        state: "proposed",
        at: onFilm([col, row], this.#facts),
        confirmed: false,
        trust: String(one?.["confidence"] ?? ""),
        sure: one?.["sure"] === true,
      };
    });
    const words = proposedWords(ray, count, sure);
    this.#said(words, "good");
    if (count > 0) this.#host.instead(points, words);
  }

  #said(words: string, kind: "busy" | "good" | "bad"): void {
    this.#proposals?.tell(words, kind);
  }

  // the scale

  scaleTyped(): void {
    this.#host.follow();
  }

  rulerAway(): void {
    const points = this.#host.points.map((p) => (isRuler(p.name) ? dismissed(p) : p));
    this.#host.instead(points, "The ruler is taken away.");
  }

  recordScale(): void {
    void this.#record();
  }

  async #record(): Promise<void> {
    const scale = this.#scale;
    if (scale === null || this.#busy) return;
    this.#busy = true;
    scale.tell(SAYS.recording, "busy");
    const points = sentPoints(this.#host.points).filter(({ name }) => isRuler(name));
    const body = { based_on: this.#host.basedOn, scale: scale.values, points };
    const reply = await post(this.#facts.scaleUrl, body, this.#facts.csrf);
    this.#busy = false;
    const given = isRecord(reply.body) ? reply.body : {};
    if (reply.ok) {
      if (typeof given["based_on"] === "string") this.#host.basedOn = given["based_on"];
      scale.recorded(messageOf(reply) ?? SAYS.recorded);
      this.#host.follow();
      return;
    }
    const faults: FieldFault[] = (Array.isArray(given["faults"]) ? given["faults"] : [])
      .filter(isRecord)
      .map((one) => ({ field: String(one["field"]), text: String(one["text"]) }));
    scale.faults(faults);
    scale.tell(messageOf(reply) ?? (reply.answered ? SAYS.notRecorded : SAYS.noAnswer), "bad");
    scale.toFirstFault();
  }
}
