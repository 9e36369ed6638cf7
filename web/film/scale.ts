/** Ball, ruler, heights and tilt of the film, and the scale that follows from them. */
import { button, html, say } from "./dom";
import type { Answer } from "./drawing";
import type { ScaleField } from "./model";

export interface ScaleHost {
  scaleTyped(): void;
  recordScale(): void;
  rulerAway(): void;
}

interface Field {
  readonly given: ScaleField;
  readonly input: HTMLInputElement;
  readonly fault: HTMLElement;
}

export interface FieldFault {
  readonly field: string;
  readonly text: string;
}

/** After the last letter the scale is worked out. */
const REST_MS = 350;
let count = 0;

export class ScaleForm {
  readonly element = html("section", { class: "tf-scale" }, html("h2", {}, "Scale"));
  readonly #host: ScaleHost;
  readonly #fields: readonly Field[];
  readonly #now = html("p", { class: "tf-scale-now" });
  readonly #more = html("ul", { class: "tf-quiet" });
  readonly #said = html("p", { class: "tf-message", role: "status" });
  readonly #open = html("p", { class: "tf-unsaved", hidden: "" }, "The scale shown is not recorded yet.");
  #resting = 0;
  #dirty = false;

  constructor(host: ScaleHost, given: readonly ScaleField[]) {
    this.#host = host;
    this.#fields = given.map((one) => this.#field(one));
    const groups = [...new Set(given.map(({ group }) => group))].map((name) => this.#group(name));
    const form = html("details", {}, html("summary", {}, "Ball, ruler, heights and tilt"), ...groups);
    const record = button("Record the scale", { class: "tf-save" }, () => host.recordScale());
    form.append(record);
    this.element.append(this.#now, this.#more, form, this.#open, this.#said);
  }

  /** What the fields say, or nothing if they are as recorded. */
  get draft(): Record<string, string> | null {
    return this.#dirty ? this.values : null;
  }

  get values(): Record<string, string> {
    return Object.fromEntries(this.#fields.map(({ given, input }) => [given.key, input.value]));
  }

  changed(): void {
    this.#dirty = true;
    this.#open.hidden = false;
    say(this.#said, "");
  }

  recorded(words: string): void {
    this.#dirty = false;
    this.#open.hidden = true;
    this.tell(words, "good");
  }

  tell(words: string, kind: "busy" | "good" | "bad"): void {
    this.#said.dataset["kind"] = kind;
    say(this.#said, words);
  }

  show(answer: Answer): void {
    if (answer.scale === null) return;
    const { text, needed, remarks } = answer.scale;
    say(this.#now, text);
    const settled = needed.length > 0 ? [`Settled by ${needed.join(", or ")}.`] : [];
    const rows = [...settled, ...remarks];
    const shown = [...this.#more.children].map((row) => row.textContent);
    if (shown.join("|") !== rows.join("|")) {
      this.#more.replaceChildren(...rows.map((row) => html("li", {}, row)));
    }
    this.#more.hidden = rows.length === 0;
    this.faults(answer.faults);
  }

  faults(faults: readonly FieldFault[]): void {
    for (const { given, input, fault } of this.#fields) {
      const own = faults.filter(({ field }) => field === given.key).map(({ text }) => text);
      say(fault, own.join(" "));
      fault.hidden = own.length === 0;
      if (own.length > 0) input.setAttribute("aria-invalid", "true");
      else input.removeAttribute("aria-invalid");
    }
  }

  toFirstFault(): void {
    this.element.querySelector<HTMLElement>("[aria-invalid]")?.focus();
  }

  #field(given: ScaleField): Field {
    const id = `tf-scale-${(count += 1)}`;
    const fault = html("p", { class: "tf-fault", id: `${id}-fault`, hidden: "" });
    const input = html("input", {
      id,
      inputmode: "decimal",
      autocomplete: "off",
      maxlength: 20,
      "aria-describedby": fault.id,
    });
    input.value = given.text;
    input.addEventListener("input", () => {
      this.changed();
      this.#later();
    });
    return { given, input, fault };
  }

  #later(): void {
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => this.#host.scaleTyped(), REST_MS);
  }

  #group(name: string): HTMLElement {
    const made = html("fieldset", {}, html("legend", {}, name));
    const own = this.#fields.filter(({ given }) => given.group === name);
    const ruler = own.some(({ given }) => given.key === "ruler_mm");
    if (ruler) {
      const where = "Place its two ends on the film: ruler start and ruler end, under Points.";
      made.append(html("p", { class: "tf-quiet" }, where));
    }
    for (const { given, input, fault } of own) {
      made.append(html("p", { class: "tf-field" }, html("label", { for: input.id }, given.label), input));
      made.append(fault);
    }
    if (ruler || own.some(({ given }) => given.key === "ball_mm")) {
      const away = (): void => {
        for (const { input } of own) input.value = "";
        this.changed();
        if (ruler) this.#host.rulerAway();
        this.#host.scaleTyped();
      };
      made.append(button(ruler ? "Take the ruler away" : "Take the ball away", {}, away));
    }
    return made;
  }
}
