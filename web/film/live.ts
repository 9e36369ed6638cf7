/** The lengths and lines, kept in step with the points while they move. */
import type { Answer } from "./drawing";
import { messageOf, NewestOnly, post } from "./link";
import { sentPoints, type FilmFacts, type FilmPoint, type SentPoint } from "./model";
import { capital, SAYS } from "./words";

export interface LiveHost {
  answered(answer: Answer): void;
  stands(words: string, stale: boolean): void;
  speak(words: string): void;
}

/** How points are asked about, where that is not the usual way. */
export interface Asking {
  readonly url: string;
  body(points: SentPoint[]): unknown;
  /** The answer for this film, out of what came. */
  read(body: unknown): Answer | null;
}

export class Live {
  readonly #facts: FilmFacts;
  readonly #asking: Asking;
  readonly #host: LiveHost;
  readonly #line = new NewestOnly<SentPoint[]>((points) => this.#send(points));
  #spoken = new Map<string, string>();
  #toSay: string | null = null;
  #last: Answer | null = null;
  #trouble: string | null = null;
  #busy = false;

  constructor(facts: FilmFacts, host: LiveHost, asking: Asking) {
    this.#facts = facts;
    this.#asking = asking;
    this.#host = host;
  }

  follow(points: readonly FilmPoint[]): void {
    if (this.#asking.url === "") return;
    this.#busy = true;
    this.#host.stands(SAYS.working, true);
    this.#line.offer(sentPoints(points));
  }

  /** Speak these words, with the lengths that changed, once the lengths are known. */
  tell(words: string): void {
    this.#toSay = words;
    if (!this.#busy) this.#speak();
  }

  async #send(points: SentPoint[]): Promise<void> {
    const reply = await post(this.#asking.url, this.#asking.body(points), this.#facts.csrf);
    const answer = reply.ok ? this.#asking.read(reply.body) : null;
    if (answer !== null) this.#take(answer);
    if (!this.#line.latest) return;
    this.#busy = false;
    this.#trouble = answer === null ? (messageOf(reply) ?? SAYS.noLengths) : null;
    const stale = this.#trouble !== null && this.#last !== null ? ` ${SAYS.stale}` : "";
    this.#host.stands(`${this.#trouble ?? ""}${stale}`, answer === null);
    this.#speak();
  }

  #take(answer: Answer): void {
    if (this.#last === null) this.#remember(answer);
    this.#last = answer;
    this.#host.answered(answer);
  }

  #remember(answer: Answer): void {
    this.#spoken = new Map(spokenRows(answer).map(({ name, text }) => [name, text]));
  }

  #speak(): void {
    if (this.#toSay === null) return;
    this.#host.speak([this.#toSay, ...this.#news()].join(" "));
    this.#toSay = null;
  }

  /** The lengths that differ from those last spoken, or why there are none. */
  #news(): string[] {
    if (this.#trouble !== null) return [this.#trouble];
    if (this.#last === null) return [];
    const changed = spokenRows(this.#last).filter(({ name, text }) => this.#spoken.get(name) !== text);
    this.#remember(this.#last);
    return changed.map(({ name, text }) => `${capital(name)}: ${text}.`);
  }
}

function spokenRows({ rows, scale }: Answer): Answer["rows"] {
  return scale === null ? rows : [...rows, { name: "scale", text: scale.text }];
}
