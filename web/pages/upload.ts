// Files dragged in or chosen are sent one by one; without this script the form sends all at once.

type State = "waiting" | "sending" | "taken" | "refused" | "cancelled";
const SIGNS: Record<State, string> = {
  waiting: "○",
  sending: "◐",
  taken: "●",
  refused: "✕",
  cancelled: "–",
};

class Row {
  readonly item = document.createElement("li");
  readonly #bar = document.createElement("progress");
  readonly #sign = document.createElement("span");
  readonly #words = document.createElement("span");
  state: State = "waiting";

  constructor(readonly file: File) {
    const name = document.createElement("b");
    name.textContent = file.name;
    this.#bar.max = 100;
    this.#bar.value = 0;
    this.#bar.setAttribute("aria-label", `Sending ${file.name}`);
    this.#sign.setAttribute("aria-hidden", "true");
    this.#words.className = "sent-words";
    this.item.append(this.#sign, " ", name, this.#bar, this.#words);
    this.say("waiting", `waits, ${sizeOf(file.size)}`);
  }

  say(state: State, words: string): void {
    this.state = state;
    this.item.dataset["state"] = state;
    this.#sign.textContent = SIGNS[state];
    this.#words.textContent = words;
    if (state === "taken" || state === "refused" || state === "cancelled") this.#bar.remove();
  }

  sent(bytes: number, of: number): void {
    const share = of > 0 ? Math.min(100, Math.round((bytes / of) * 100)) : 100;
    this.#bar.value = share;
    this.say("sending", `${share} % of ${sizeOf(of)} sent`);
  }

  checking(): void {
    this.#bar.removeAttribute("value");
    this.say("sending", "sent; being looked through");
  }
}

class Upload {
  readonly #input: HTMLInputElement;
  readonly #button: HTMLButtonElement;
  readonly #box = document.createElement("section");
  readonly #status = document.createElement("p");
  readonly #list = document.createElement("ul");
  readonly #cancel = document.createElement("button");
  readonly #show = document.createElement("p");
  #request: XMLHttpRequest | null = null;
  #isSending = false;
  #isCancelled = false;

  constructor(readonly form: HTMLFormElement) {
    this.#input = need(form.querySelector<HTMLInputElement>("input[type=file]"));
    this.#button = need(form.querySelector<HTMLButtonElement>("button"));
    this.#build();
    const drop = need(form.querySelector<HTMLElement>("[data-drop]"));
    need(drop.querySelector<HTMLElement>("[data-drop-words]")).hidden = false;
    drop.addEventListener("dragover", (event) => {
      event.preventDefault();
      drop.classList.add("drop-over");
    });
    drop.addEventListener("dragleave", () => drop.classList.remove("drop-over"));
    drop.addEventListener("drop", (event) => {
      event.preventDefault();
      drop.classList.remove("drop-over");
      this.#add(event.dataTransfer?.files ?? null);
    });
    this.#input.addEventListener("change", () => this.#ready());
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.#sendAll();
    });
    window.addEventListener("beforeunload", (event) => {
      if (this.#isSending) event.preventDefault();
    });
  }

  #build(): void {
    this.#box.className = "sent";
    this.#box.setAttribute("aria-label", "Files that are sent");
    this.#status.setAttribute("role", "status");
    this.#status.setAttribute("aria-live", "polite");
    this.#cancel.type = "button";
    this.#cancel.textContent = "Cancel the rest";
    this.#cancel.hidden = true;
    this.#cancel.addEventListener("click", () => this.#stop());
    this.#show.hidden = true;
    const link = document.createElement("a");
    link.href = location.pathname;
    link.textContent = "Show the list as it is now";
    this.#show.append(link);
    this.#box.append(this.#status, this.#list, this.#cancel, this.#show);
    this.form.append(this.#box);
  }

  #add(files: FileList | null): void {
    if (files === null || files.length === 0 || this.#isSending) return;
    const all = new DataTransfer();
    for (const file of [...(this.#input.files ?? []), ...files]) all.items.add(file);
    this.#input.files = all.files;
    this.#ready();
  }

  #ready(): void {
    const count = this.#input.files?.length ?? 0;
    const words = count === 1 ? "1 file is ready" : `${count} files are ready`;
    this.#status.textContent = `${words}. Press “${this.#button.textContent ?? ""}” to send.`;
  }

  async #sendAll(): Promise<void> {
    const rows = [...(this.#input.files ?? [])].map((file) => new Row(file));
    if (this.#isSending || rows.length === 0) return;
    this.#isSending = true;
    this.#isCancelled = false;
    this.#list.replaceChildren(...rows.map((row) => row.item));
    this.#button.disabled = true;
    this.#show.hidden = true;
    this.#cancel.hidden = false;
    for (const [at, row] of rows.entries()) {
      this.#status.textContent = `Sending ${at + 1} of ${rows.length}: ${row.file.name}`;
      if (this.#isCancelled) row.say("cancelled", "cancelled; nothing of it was kept");
      else await this.#send(row);
    }
    this.#isSending = false;
    this.#status.textContent = `Done: ${summary(rows)}.`;
    if (document.activeElement === this.#cancel) this.#input.focus();
    this.#cancel.hidden = true;
    this.#show.hidden = false;
    this.#button.disabled = false;
    this.#input.value = "";
  }

  #send(row: Row): Promise<void> {
    const request = new XMLHttpRequest();
    const body = new FormData(this.form);
    body.delete(this.#input.name);
    body.append(this.#input.name, row.file, row.file.name);
    this.#request = request;
    row.say("sending", `being sent, ${sizeOf(row.file.size)}`);
    return new Promise((done) => {
      request.upload.addEventListener("progress", (event) => row.sent(event.loaded, event.total));
      request.upload.addEventListener("load", () => {
        this.#request = null;
        row.checking();
      });
      request.addEventListener("load", () => told(row, request));
      request.addEventListener("error", () => {
        row.say("refused", "no answer; look at the list, then send it again if it is not there");
      });
      request.addEventListener("abort", () => {
        row.say("cancelled", "cancelled; nothing of it was kept");
      });
      request.addEventListener("loadend", () => {
        this.#request = null;
        done();
      });
      request.open("POST", this.form.action);
      request.setRequestHeader("Accept", "application/json");
      request.send(body);
    });
  }

  // What has arrived as a whole is let through: only what is half sent is cut off.
  #stop(): void {
    this.#isCancelled = true;
    this.#request?.abort();
  }
}

function told(row: Row, request: XMLHttpRequest): void {
  const answer = read(request.responseText);
  if (request.status === 200 && answer !== null) {
    if (answer.refused.length > 0) row.say("refused", `refused: ${answer.refused.join("; ")}`);
    else row.say("taken", "taken in");
  } else {
    row.say("refused", `refused: the workbench could not read what was sent (${request.status})`);
  }
}

function read(text: string): { refused: string[] } | null {
  try {
    const found: unknown = JSON.parse(text);
    const refused = (found as { refused?: unknown } | null)?.refused;
    return Array.isArray(refused) ? { refused: refused.map(String) } : null;
  } catch {
    return null;
  }
}

function summary(rows: Row[]): string {
  const words: [State, string][] = [
    ["taken", "taken in"],
    ["refused", "refused"],
    ["cancelled", "cancelled"],
  ];
  const counts = words.map(([state, said]) => {
    const count = rows.filter((row) => row.state === state).length;
    return count > 0 ? `${count} ${said}` : "";
  });
  return counts.filter(Boolean).join(", ");
}

function sizeOf(bytes: number): string {
  return bytes < 1e5 ? `${Math.ceil(bytes / 1e3)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

function need<T>(found: T | null): T {
  if (found === null) throw new Error("the page lacks a part of its form");
  return found;
}

for (const form of document.querySelectorAll<HTMLFormElement>("form[data-upload]")) {
  new Upload(form);
  // A file that misses the field must not replace the page.
  for (const kind of ["dragover", "drop"]) {
    window.addEventListener(kind, (event) => event.preventDefault());
  }
}
