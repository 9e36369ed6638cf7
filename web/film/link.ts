/** Talking to the workbench. */
import { isRecord } from "./model";

export interface Reply {
  /** False without any answer, too. */
  readonly ok: boolean;
  readonly answered: boolean;
  readonly body: unknown;
}

/** What the workbench itself said, in words; nothing if it said none. */
export function messageOf(reply: Reply): string | null {
  if (!isRecord(reply.body)) return null;
  const said = reply.body["message"] ?? reply.body["detail"];
  return typeof said === "string" && said !== "" ? said : null;
}

const PATIENCE_MS = 20_000;

export async function post(url: string, body: unknown, csrf: string): Promise<Reply> {
  try {
    const response = await fetch(url, {
      method: "POST",
      headers: {
        "Content-Type": "application/json",
        Accept: "application/json",
        "X-CSRF-Token": csrf,
      },
      body: JSON.stringify(body),
      credentials: "same-origin",
      signal: AbortSignal.timeout(PATIENCE_MS),
    });
    const given: unknown = await response.json().catch(() => null);
    return { ok: response.ok, answered: true, body: given };
  } catch {
    return { ok: false, answered: false, body: null };
  }
}

/** Sends one thing at a time; whatever waits is replaced by what is newer. */
export class NewestOnly<T> {
  #waiting: { readonly value: T } | null = null;
  #busy = false;
  readonly #send: (value: T) => Promise<void>;

  constructor(send: (value: T) => Promise<void>) {
    this.#send = send;
  }

  /** True if nothing newer waits behind the answer that has just come. */
  get latest(): boolean {
    return this.#waiting === null;
  }

  offer(value: T): void {
    this.#waiting = { value };
    if (!this.#busy) void this.#work();
  }

  async #work(): Promise<void> {
    this.#busy = true;
    try {
      while (this.#waiting !== null) {
        const { value } = this.#waiting;
        this.#waiting = null;
        await this.#send(value);
      }
    } finally {
      this.#busy = false;
    }
  }
}
