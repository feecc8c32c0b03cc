// Says how far the work is without loading the page anew, and shows what was asked for once it is there.
"use strict";
(() => {
  const EVERY_MS = 1000;

  async function ask() {
    let answer;
    try {
      answer = await fetch(location.href, { redirect: "manual" });
    } catch {
      setTimeout(ask, EVERY_MS); // the network is away
      return;
    }
    const kind = answer.headers.get("Content-Type") ?? "text/html";
    if (answer.status === 202) {
      say(await answer.text());
      setTimeout(ask, EVERY_MS);
    } else if (answer.ok && !kind.startsWith("text/html")) {
      save(await answer.blob(), answer.headers.get("Content-Disposition") ?? "");
    } else {
      location.reload();
    }
  }

  function say(text) {
    const page = new DOMParser().parseFromString(text, "text/html");
    const said = page.getElementById("working").textContent;
    const shown = document.getElementById("working");
    if (shown.textContent !== said) shown.textContent = said;
  }

  // A file is kept nowhere, so it is not asked for a second time.
  function save(file, disposition) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(file);
    link.download = /filename="([^"]*)"/.exec(disposition)?.[1] ?? "";
    link.textContent = "It is there. Save it";
    document.getElementById("working").replaceChildren(link);
    link.click();
  }

  setTimeout(ask, EVERY_MS);
})();
