// Start-up glue; everything else is Rust. It starts the module that stands in this file and says in plain
// words why it cannot. If the module dies, no result stays in sight and the last whole case can be saved.
//
// For the module: extradosKeep(text, name, unsaved) after each change keeps the case that would be saved;
// extradosDied(reason) is for its panic hook. For scripts: what the module exports stands under
// the one name `extrados`. <html data-state> says starting, ready, failed or dead.
"use strict";

(() => {
  const root = document.documentElement;
  const notice = document.getElementById("notice");
  const page = document.getElementById("page");
  let kept = null;

  const paragraph = (...parts) => {
    const p = document.createElement("p");
    p.append(...parts);
    return p;
  };

  const show = (state, ...paragraphs) => {
    root.dataset.state = state;
    notice.replaceChildren(...paragraphs);
    notice.hidden = paragraphs.length === 0;
    page.hidden = state !== "ready";
    // Nothing half drawn may be read as a result, on the screen or on paper.
    if (state === "failed" || state === "dead") {
      document.body.classList.add(state);
      page.replaceChildren();
    }
  };

  const saveLink = () => {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([kept.text], { type: "application/json" }));
    link.download = kept.name;
    link.textContent = "Save the case as it last was (" + kept.name + ")";
    link.addEventListener("click", () => { kept.unsaved = false; });
    return link;
  };

  const die = (reason) => {
    if (root.dataset.state === "dead") return;
    // The module asks no more whether what is not saved may go.
    addEventListener("beforeunload", (event) => kept && kept.unsaved && event.preventDefault());
    show(
      "dead",
      paragraph("Extrados has stopped. The fault is in the program. No result is shown, because none can be relied on now."),
      kept ? paragraph(saveLink()) : paragraph("No case was open."),
      paragraph("Reload this page to start again, then open the saved case. What happened: " + reason),
    );
  };

  // A trap, or a stack that ran over: the module would go on answering, with anything.
  const isTrap = (error) =>
    error instanceof WebAssembly.RuntimeError ||
    (error instanceof RangeError && /call stack/i.test(error.message)) ||
    (error && error.name === "InternalError");

  const guarded = (call) => (...given) => {
    if (root.dataset.state === "dead") throw new Error("Extrados has stopped; reload the page.");
    try {
      return call(...given);
    } catch (error) {
      if (isTrap(error)) die(String(error));
      throw error;
    }
  };

  const text = (id) => new TextDecoder().decode(unpacked(id));

  // The policy names the style by the hash of its text.
  const dress = () => {
    const style = document.createElement("style");
    style.textContent = text("styles");
    document.head.append(style);
  };

  // The module reads the demo cases as text. The policy lets nothing be written into a script block,
  // so a plain one takes its place.
  const layOutDemos = () => {
    const plain = document.createElement("div");
    plain.hidden = true;
    plain.textContent = text("demo-data");
    document.getElementById("demo-data").replaceWith(plain);
    plain.id = "demo-data";
  };

  const damaged = (error) => show("failed", paragraph(
    "This copy of the file is damaged: its program cannot be unpacked. Get the file again. (" + error + ")",
  ));

  const start = async () => {
    try {
      dress();
    } catch (error) {
      return damaged(error);
    }
    if (typeof WebAssembly === "undefined") {
      return show("failed", paragraph(
        "Extrados cannot compute here: WebAssembly is switched off in this browser. ",
        "Security modes that switch it off can be told to allow this file; or open it in another browser.",
      ));
    }
    // Came with the same versions as what the module asks of a browser.
    if (typeof DecompressionStream === "undefined" || typeof wasm_bindgen === "undefined") {
      return show("failed", paragraph(
        "This browser is too old to open Extrados. Use a version of 2023 or later.",
      ));
    }
    addEventListener("error", (event) => isTrap(event.error) && die(event.message));
    addEventListener("unhandledrejection", (event) => isTrap(event.reason) && die(String(event.reason)));
    let bytes;
    try {
      bytes = joined(unpacked("module"));
      layOutDemos();
    } catch (error) {
      return damaged(error);
    }
    try {
      await wasm_bindgen({ module_or_path: await WebAssembly.compile(bytes) });
    } catch (error) {
      if (root.dataset.state === "dead") return;
      return isTrap(error) ? die(String(error)) : show("failed", paragraph(
        "Extrados could not start in this browser. Open the file in another one, or a newer one. (" + error + ")",
      ));
    }
    const { initSync, start: started, ...exported } = wasm_bindgen;
    for (const name of Object.keys(exported)) {
      if (typeof exported[name] === "function") exported[name] = guarded(exported[name]);
    }
    globalThis.extrados = Object.freeze(exported);
    show("ready");
  };

  globalThis.extradosKeep = (text, name, unsaved) => {
    kept = { text, name, unsaved };
  };
  globalThis.extradosDied = die;
  start();
})();
