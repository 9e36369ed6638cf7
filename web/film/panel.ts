/** Beside the film: the list of points, the lengths, and saving. */
import { button, html, say } from "./dom";
import type { Answer } from "./drawing";
import type { FilmPoint } from "./model";
import { capital, countWords, roundWords, rowWords } from "./words";

export interface PanelHost {
  choose(name: string): void;
  confirm(name: string): void;
  dismiss(name: string): void;
  save(): void;
}

export interface Shown {
  readonly points: readonly FilmPoint[];
  readonly asked: string | null;
  readonly rounds: number;
  /** What to say of changes that are not saved; nothing if all is saved. */
  readonly unsaved: string;
}

interface Row {
  readonly row: HTMLElement;
  readonly pick: HTMLButtonElement;
  readonly words: HTMLElement;
  readonly agree: HTMLElement;
}

export class Panel {
  readonly element: HTMLElement;
  readonly #rows = new Map<string, Row>();
  readonly #count = html("p", { class: "tf-quiet" });
  readonly #lengths = html("dl", { class: "tf-lengths" });
  readonly #stand = html("p", { class: "tf-quiet" });
  readonly #rounds = html("p", { class: "tf-quiet" });
  readonly #unsaved = html("p", { class: "tf-unsaved", hidden: "" });
  readonly #message = html("p", { class: "tf-message", role: "status" });
  readonly #save: HTMLButtonElement;

  constructor(
    host: PanelHost,
    points: readonly FilmPoint[],
    live: boolean,
    more: { readonly before: readonly HTMLElement[]; readonly after: readonly HTMLElement[] },
  ) {
    const list = html("ol", { class: "tf-list" });
    points.forEach((point, index) => list.append(this.#row(host, point, index + 1)));
    const places = html("section", { class: "tf-places" }, html("h2", {}, "Points"));
    places.append(this.#count, list);
    const lengths = html("section", { class: "tf-found" }, html("h2", {}, "Lengths"));
    lengths.append(this.#lengths, this.#stand);
    this.#save = button("Save this round", { class: "tf-save" }, () => host.save());
    const save = html("section", { class: "tf-saving" }, html("h2", {}, "Round"));
    save.append(this.#rounds, this.#unsaved, this.#save, this.#message);
    const right = html("div", { class: "tf-results" });
    if (live) right.append(lengths);
    right.append(save, ...more.after);
    places.append(...more.before);
    this.element = html("div", { class: "tf-panel" }, places, right);
  }

  show(shown: Shown): void {
    const { points, asked, rounds, unsaved } = shown;
    say(this.#count, capital(countWords(points)) + ".");
    say(this.#rounds, roundWords(rounds));
    this.#unsaved.hidden = unsaved === "";
    say(this.#unsaved, unsaved);
    for (const point of points) {
      const row = this.#rows.get(point.name);
      if (row === undefined) continue;
      row.row.dataset["state"] = point.state;
      row.pick.setAttribute("aria-pressed", `${asked === point.name}`);
      say(row.words, rowWords(point));
      if (point.state !== "proposed" && row.agree.contains(document.activeElement)) {
        row.pick.focus();
      }
      row.agree.hidden = point.state !== "proposed";
    }
  }

  showAnswer(answer: Answer): void {
    const rows = answer.rows.flatMap(({ name, text }) => [
      html("dt", {}, capital(name)),
      html("dd", {}, text),
    ]);
    this.#lengths.replaceChildren(...rows);
  }

  /** Say how the lengths stand to the points; nothing if they belong to them. */
  showStand(words: string, stale: boolean): void {
    say(this.#stand, words);
    this.#lengths.classList.toggle("tf-stale", stale && this.#lengths.childElementCount > 0);
  }

  showSaving(words: string, kind: "busy" | "good" | "bad"): void {
    // not `disabled`, which would take the focus away
    this.#save.setAttribute("aria-disabled", `${kind === "busy"}`);
    this.#message.dataset["kind"] = kind;
    say(this.#message, words);
  }

  #row(host: PanelHost, point: FilmPoint, number: number): HTMLElement {
    const words = html("span", { class: "tf-where" });
    const pick = button("", { class: "tf-pick", "aria-pressed": "false" }, () =>
      host.choose(point.name),
    );
    pick.append(
      html("span", { class: "tf-number" }, `${number}`),
      html("span", { class: "tf-name" }, `${capital(point.label)} `),
      words,
    );
    const label = point.label;
    const agree = html(
      "div",
      { class: "tf-agree" },
      button("Confirm", { "aria-label": `Confirm ${label}` }, () => host.confirm(point.name)),
      button("Dismiss", { "aria-label": `Dismiss ${label}` }, () => host.dismiss(point.name)),
    );
    const row = html("li", {}, pick, agree);
    this.#rows.set(point.name, { row, pick, words, agree });
    return row;
  }
}
