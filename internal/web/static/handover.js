// Where the program runs in this browser, a saved log is handed over by what the phone has for that: its share sheet, or else its
// downloads.
import { nobodyWaits, say } from "./bench.js";

// noted has the program note that the log is elsewhere.
async function noted(form) {
  say("");
  if (!form.dataset.saved) return;
  const answer = await fetch(form.dataset.saved, { method: "POST" });
  if (answer.ok) document.getElementById("last-saved").textContent = await answer.text();
}

function download(file) {
  const link = Object.assign(document.createElement("a"), { href: URL.createObjectURL(file), download: file.name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

function handOver(file, form) {
  if (!navigator.canShare?.({ files: [file] })) {
    download(file);
    return noted(form);
  }
  // The sheet comes only with a touch, and packing took longer than that counts.
  say("It is packed.", "Put it elsewhere", async () => {
    try {
      await navigator.share({ files: [file] });
    } catch (fault) {
      if (fault.name === "AbortError") { handOver(file, form); return; } // it was closed: it may be asked for again
      download(file);
    }
    await noted(form);
  });
}

for (const form of document.querySelectorAll("form[data-hand-over]"))
  form.addEventListener("submit", async (e) => {
    e.preventDefault();
    const stop = new AbortController();
    say("Packing …", "Cancel", () => stop.abort());
    try {
      const answer = await fetch(form.action, { method: "POST", signal: stop.signal });
      if (!answer.ok) {
        const page = new DOMParser().parseFromString(await answer.text(), "text/html");
        const text = (what) => page.querySelector(what)?.textContent || "";
        say((text(".problem") || "That did not work.") + " " + text(".problem + p:not(:has(a))"), "Close", () => say(""));
        return;
      }
      const name = answer.headers.get("Content-Disposition").match(/filename="(.*)"/)[1], data = await answer.blob();
      await handOver(new File([data], name, { type: data.type }), form);
    } catch {
      if (stop.signal.aborted) {
        nobodyWaits(form.action);
        say("Cancelled. Nothing was changed.", "Close", () => say(""));
      } else say("That did not work.", "Close", () => say(""));
    }
  });
