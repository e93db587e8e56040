(() => {
const box = document.getElementById("find");
const words = box.querySelector("input");
const told = box.querySelector("output");
const main = document.querySelector("main");
let wanted = "", found = [], at = -1;
const gather = () => {
  found = [];
  const all = document.createTreeWalker(main, NodeFilter.SHOW_TEXT);
  while (all.nextNode()) {
    const place = all.currentNode.parentElement;
    if (place.closest("desc, title, script, option, #find") !== null) continue;
    if (all.currentNode.data.toLowerCase().includes(wanted) && found[found.length - 1] !== place) found.push(place);
  }
  at = -1;
};
const step = (by) => {
  const asked = words.value.trim().toLowerCase();
  if (asked !== wanted) {
    wanted = asked;
    if (wanted === "") found = []; else gather();
  }
  for (const old of document.querySelectorAll(".found")) old.classList.remove("found");
  if (found.length === 0) {
    told.textContent = wanted === "" ? "" : "not found";
    return;
  }
  at = at < 0 ? (by > 0 ? 0 : found.length - 1) : (at + by + found.length) % found.length;
  const place = found[at];
  for (let fold = place.closest("details"); fold !== null; fold = fold.parentElement.closest("details")) fold.open = true;
  for (let hidden = place.closest(".filtered"); hidden !== null; hidden = hidden.parentElement.closest(".filtered")) hidden.classList.remove("filtered");
  place.classList.add("found");
  place.scrollIntoView({ block: "center" });
  told.textContent = at + 1 + " of " + found.length;
};
words.addEventListener("keydown", (key) => {
  if (key.key === "Enter") step(key.shiftKey ? -1 : 1);
});
const [back, on] = box.querySelectorAll("button");
back.addEventListener("click", () => step(-1));
on.addEventListener("click", () => step(1));
box.hidden = false;
})();
