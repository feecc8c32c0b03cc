// The signals page: times taken by a tap, and a link's working under its row where there is no room beside.
"use strict";

(function () {
  const narrow = window.matchMedia("(max-width: 63.99rem)");

  function timeIn(zone) {
    const parts = new Intl.DateTimeFormat("en-GB", {
      timeZone: zone, hour: "2-digit", minute: "2-digit", second: "2-digit", hourCycle: "h23",
    }).format(new Date());
    return parts;
  }

  function addNow(input) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "plain now";
    button.textContent = "Now";
    button.setAttribute("aria-label", `${input.labels[0].textContent}: now`);
    button.addEventListener("click", function () {
      input.value = timeIn(input.dataset.now);
      input.dispatchEvent(new Event("input", { bubbles: true }));
    });
    input.after(button);
  }

  document.querySelectorAll("input[data-now]").forEach(addNow);

  document.addEventListener("htmx:beforeRequest", function (event) {
    const beside = document.getElementById("beside");
    const row = event.target.closest("article.row, section.site");
    if (beside && row && narrow.matches && event.detail.target === beside) {
      row.after(beside);
    }
  });

  document.addEventListener("htmx:afterSwap", function (event) {
    if (event.detail.target.id !== "beside") return;
    const name = document.getElementById("link-name");
    if (name) {
      name.focus({ preventScroll: true });
      name.scrollIntoView({ block: "nearest" });
    }
  });
})();
