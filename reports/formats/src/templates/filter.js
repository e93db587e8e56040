(() => {
const box = document.getElementById("filter");
if (box === null) return;
const [verdict, part] = box.querySelectorAll("select");
const told = box.querySelector("output");
const sections = [...document.querySelectorAll("#verdicts > section")];
const apply = () => {
  let shown = 0, all = 0;
  for (const section of sections) {
    const isWanted = part.value === "" || section.getAttribute("aria-labelledby") === part.value;
    let here = 0;
    for (const row of section.querySelectorAll(".verdicts > tbody")) {
      const fits = isWanted ? verdict.value === "" || row.classList.contains(verdict.value) : false;
      row.classList.toggle("filtered", !fits);
      here += fits ? 1 : 0;
      all += 1;
    }
    section.classList.toggle("filtered", here === 0);
    if (verdict.value !== "" || part.value !== "") section.querySelector("details").open ||= here > 0;
    shown += here;
  }
  told.textContent = shown + " of " + all + " verdicts shown";
};
const reveal = () => {
  const target = document.getElementById(location.hash.slice(1));
  if (target === null) return;
  for (let fold = target.closest("details"); fold !== null; fold = fold.parentElement.closest("details")) fold.open = true;
  if (target.closest(".filtered") !== null) {
    verdict.value = part.value = "";
    apply();
  }
  target.scrollIntoView();
};
verdict.addEventListener("change", apply);
part.addEventListener("change", apply);
addEventListener("hashchange", reveal);
box.hidden = false;
apply();
reveal();
})();
