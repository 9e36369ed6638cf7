/** Asking the workbench for joint lines, and agreeing to those it calls sure. */
import { button, html, say } from "./dom";
import type { FilmPoint, ProposedRay } from "./model";
import { endsWords } from "./words";

export interface ProposalHost {
  propose(ray: ProposedRay, bones: number): void;
  confirmSure(): void;
  dismissAll(): void;
}

interface Row {
  readonly ray: ProposedRay;
  readonly ask: HTMLButtonElement;
  readonly missing: HTMLElement;
  readonly bones: HTMLSelectElement | null;
  readonly stump: HTMLElement;
}

let count = 0;

export class Proposals {
  readonly element = html("section", { class: "tf-proposals" }, html("h2", {}, "Proposals"));
  readonly #rows: Row[];
  readonly #sure: HTMLButtonElement;
  readonly #none: HTMLButtonElement;
  readonly #said = html("p", { class: "tf-message", role: "status" });
  #points: readonly FilmPoint[] = [];

  constructor(host: ProposalHost, rays: readonly ProposedRay[]) {
    this.#rows = rays.map((ray) => this.#row(host, ray));
    this.#sure = button("Confirm those called sure", {}, () => host.confirmSure());
    this.#none = button("Dismiss all proposals", {}, () => host.dismissAll());
    const all = html("div", { class: "tf-buttons" }, this.#sure, this.#none);
    for (const { ask, missing, stump } of this.#rows) this.element.append(stump, ask, missing);
    this.element.append(this.#said, all);
  }

  show(points: readonly FilmPoint[]): void {
    this.#points = points;
    for (const row of this.#rows) this.#showRow(row);
    const open = points.filter(({ state }) => state === "proposed");
    const sure = open.filter((point) => point.sure);
    this.#sure.hidden = sure.length === 0;
    say(this.#sure, `Confirm the ${sure.length} called sure`);
    this.#none.hidden = open.length === 0;
  }

  tell(words: string, kind: "busy" | "good" | "bad"): void {
    this.#said.dataset["kind"] = kind;
    say(this.#said, words);
  }

  #placed(name: string): FilmPoint | null {
    return this.#points.find((point) => point.name === name && point.state === "placed") ?? null;
  }

  #showRow({ ray, ask, missing, stump, bones }: Row): void {
    const whole = this.#placed(ray.last) !== null;
    const cut = !whole && ray.stump !== "" && this.#placed(ray.stump) !== null;
    const ready = this.#placed(ray.first) !== null && (whole || cut);
    // not `disabled`, which would take the focus away
    ask.setAttribute("aria-disabled", `${!ready}`);
    const words = (name: string): string => name.replaceAll("_", " ");
    say(missing, ready ? "" : endsWords(words(ray.first), words(ray.last), words(ray.stump)));
    missing.hidden = ready;
    stump.hidden = !cut || bones === null;
  }

  #row(host: ProposalHost, ray: ProposedRay): Row {
    const id = `tf-propose-${(count += 1)}`;
    const missing = html("p", { class: "tf-quiet", id });
    const bones = ray.stump === "" ? null : html("select", { id: `${id}-bones` });
    ray.bones.forEach((bone, index) => {
      const words = index === 0 ? `${bone}, cut` : `up to the ${bone}, cut`;
      bones?.append(html("option", { value: index + 1 }, words));
    });
    const stump = html("p", { class: "tf-field" });
    if (bones !== null) {
      stump.append(html("label", { for: bones.id }, "Bones of the stump"), bones);
    }
    const ask = button(`Propose the joint lines of the ${ray.name}`, { "aria-describedby": id }, () => {
      if (ask.getAttribute("aria-disabled") === "true") return;
      host.propose(ray, Number(bones?.value ?? 0));
    });
    return { ray, ask, missing, bones, stump };
  }
}
