/** Points that are not saved: kept on this computer, and offered back later. */
import { button, html } from "./dom";
import { Drafts } from "./draft";
import type { FilmFacts, FilmPoint } from "./model";
import { draftWords, unsavedWords } from "./words";

export interface OfferHost {
  bringBack(points: readonly FilmPoint[]): void;
  decided(): void;
}

export class Unsaved {
  readonly element = html("div", { class: "tf-offer", hidden: "" });
  readonly #drafts: Drafts;
  /** Until somebody has decided about older points, they wait untouched. */
  #open = false;
  #keeps = true;

  constructor(facts: FilmFacts) {
    this.#drafts = new Drafts(facts);
  }

  get words(): string {
    return unsavedWords(this.#keeps, this.#open);
  }

  keep(points: readonly FilmPoint[], unsaved: boolean, basedOn: string): void {
    if (this.#open) return;
    if (unsaved) this.#keeps = this.#drafts.keep(points, basedOn);
    else this.#drafts.drop();
  }

  /** Offer what was kept before, if it differs from these points. */
  offer(points: readonly FilmPoint[], basedOn: string, host: OfferHost): void {
    const draft = this.#drafts.read(points);
    if (draft === null) return;
    this.#open = true;
    this.element.append(
      html("p", {}, draftWords(draft.kept, draft.basedOn !== basedOn)),
      button("Bring them back", {}, () => {
        this.#close();
        host.bringBack(draft.points);
      }),
      button("Throw them away", {}, () => {
        this.#close();
        host.decided();
      }),
    );
    this.element.hidden = false;
  }

  #close(): void {
    const focused = this.element.contains(document.activeElement);
    this.#open = false;
    this.element.hidden = true;
    if (focused) this.element.parentElement?.querySelector<HTMLElement>(".tf-stage")?.focus();
  }
}
