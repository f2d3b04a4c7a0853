"use strict";
// Words of a mark beside the pointer, finger or focus; browsers show <title> late, and not at all to fingers.
const tip = document.getElementById("tip");
function told(target) {
  for (let at = target; at && at.closest && at.closest("figure"); at = at.parentElement) {
    if (at.tagName.toLowerCase() === "svg") return null;
    const title = Array.from(at.children).find((child) => child.tagName.toLowerCase() === "title");
    if (title) return title.textContent;
  }
  return null;
}
function show(event) {
  const words = told(event.target);
  tip.hidden = !words;
  if (!words) return;
  tip.textContent = words;
  const room = document.documentElement.clientWidth - tip.offsetWidth - 8;
  tip.style.left = Math.max(4, Math.min(event.pageX + 12, window.scrollX + room)) + "px";
  tip.style.top = event.pageY + 16 + "px";
}
document.addEventListener("pointermove", show);
document.addEventListener("pointerdown", show);
addEventListener("resize", () => { tip.hidden = true; });
document.addEventListener("keydown", (event) => { if (event.key === "Escape") tip.hidden = true; });
// Print holds what is folded on the screen.
addEventListener("beforeprint", () => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
