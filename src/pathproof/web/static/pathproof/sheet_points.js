// Two taps on a picture fill in the two points of its scale.
(() => {
  "use strict";
  const picture = document.getElementById("sheet");
  if (!picture) return;
  const said = document.getElementById("points");
  let next = 1;
  picture.addEventListener("click", (event) => {
    const box = picture.getBoundingClientRect();
    const x = Math.round(((event.clientX - box.left) / box.width) * picture.naturalWidth);
    const y = Math.round(((event.clientY - box.top) / box.height) * picture.naturalHeight);
    for (const [name, value] of [[`x${next}`, x], [`y${next}`, y]]) {
      const field = document.getElementById(`id_${name}`);
      field.value = value;
      field.dispatchEvent(new Event("input", { bubbles: true }));
    }
    said.textContent = `Point ${next} is at ${x}, ${y}.` + (next === 1 ? " Tap the other end." : " Enter their distance below.");
    next = 3 - next;
  });
})();
