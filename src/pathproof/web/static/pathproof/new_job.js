// The time zone that a new job is proposed: the browser's, which stands where the person does.
"use strict";
(() => {
  const field = document.querySelector("[data-browser-zone]");
  const zone = Intl.DateTimeFormat().resolvedOptions().timeZone;
  if (!field || !zone?.includes("/") || field.value !== field.defaultValue) return;
  field.value = field.defaultValue = zone;
})();
