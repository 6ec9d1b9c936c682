"use strict";
// Filters for the wrong turns and the problems. Without this script the page shows everything.
(() => {
  const choose = document.getElementById("choose");
  const lists = [...document.querySelectorAll(".turn-list")];
  if (!choose) return;
  const form = choose.querySelector("form");
  const pick = (name) => document.getElementById("f-" + name);
  const answered = JSON.parse(document.getElementById("answered").textContent);
  const z = 1.959963984540054; // the normal quantile of a 95 % interval
  const wilson = (count, total) => {
    if (!total) return [0, 1];
    const share = count / total, weight = 1 + z * z / total;
    const middle = (share + z * z / (2 * total)) / weight;
    const reach = z / weight * Math.sqrt(share * (1 - share) / total + z * z / (4 * total * total));
    return [count ? Math.max(0, middle - reach) : 0, count < total ? Math.min(1, middle + reach) : 1];
  };
  const percent = (share) => (share * 100).toFixed(0);
  // The figures of a wrong turn, where it has any (one that a single student took has none).
  const counted = (element) => {
    const words = element.querySelector(".count .in-words"), share = element.querySelector(".share");
    return words && {
      words,
      said: words.innerHTML,
      share,
      drawn: share.style.cssText,
      cost: element.querySelector(".cost"),
      answered: JSON.parse(element.dataset.answered),
    };
  };
  const turns = lists.flatMap((list) => [...list.children].map((element) => ({
    element,
    list,
    counted: counted(element),
    members: [...element.querySelectorAll(".names li")].map((line) => ({
      line,
      section: line.dataset.section,
      weights: Object.entries(JSON.parse(line.dataset.weights)),
    })),
    groups: [...element.querySelectorAll(".group")],
  })));
  const problems = [...document.querySelectorAll(".problem")].map((element) => ({
    element,
    states: JSON.parse(element.dataset.states),
    words: element.querySelector(".tally .in-words"),
    said: element.querySelector(".tally .in-words").textContent,
    bar: element.querySelector(".bar"),
    turns: element.dataset.turns.trim().split(" "),
  }));
  const students = [...document.querySelectorAll(".by-student tbody tr")].map((element) => ({
    element,
    section: element.dataset.section,
    turns: element.dataset.turns.split(" "),
    problems: JSON.parse(element.dataset.problems),
  }));

  const showTurn = (turn, section, problem, only) => {
    let count = 0, weight = 0, answers = 0;
    for (const member of turn.members) {
      const here = member.weights.filter(([label]) => !problem || label === problem);
      const seen = here.length > 0 && (!section || member.section === section);
      member.line.hidden = !seen;
      if (!seen) continue;
      count += 1;
      answers += here.length;
      for (const [, each] of here) weight += each;
    }
    for (const group of turn.groups) group.hidden = ![...group.querySelectorAll("li")].some((line) => !line.hidden);
    turn.element.hidden = !count || (only !== "" && turn.element.id !== only);
    // As on the page when it was written: students × mean of sureness × points; slips of the pen last.
    turn.weight = (turn.element.dataset.kind === "slip" ? 0 : 1e6) + (answers ? Math.round(1e6 * count * weight / answers) / 1e6 : 0);
    if (turn.counted) showCount(turn.counted, count, section, problem);
  };

  const showCount = (shown, count, section, problem) => {
    const narrowed = section !== "" || problem !== "";
    shown.cost.hidden = narrowed;
    if (!narrowed) {
      shown.words.innerHTML = shown.said;
      shown.share.style.cssText = shown.drawn;
      return;
    }
    const total = problem ? (answered[problem] || {})[section] || 0 : shown.answered[section] || 0;
    const [low, high] = wilson(count, total);
    const bold = document.createElement("b");
    bold.textContent = count;
    shown.words.replaceChildren(bold, ` of ${total} · ${percent(total ? count / total : 0)} % (${percent(low)}–${percent(high)} %)`);
    shown.share.style.setProperty("--low", 100 * low);
    shown.share.style.setProperty("--at", total ? 100 * count / total : 0);
    shown.share.style.setProperty("--high", 100 * high);
  };

  const showProblem = (each, section, problem, only) => {
    const label = each.element.dataset.problem;
    each.element.hidden = (problem !== "" && label !== problem) || (only !== "" && !each.turns.includes(only));
    const states = each.states[section];
    each.bar.hidden = Boolean(states);
    each.words.textContent = states
      ? `Section ${section}: ` + Object.entries(states).filter(([, n]) => n).map(([state, n]) => `${n} ${state}`).join(" · ")
      : each.said;
  };

  const apply = () => {
    const [section, problem, only] = ["section", "problem", "turn"].map((name) => pick(name) ? pick(name).value : "");
    for (const turn of turns) showTurn(turn, section, problem, only);
    for (const each of problems) showProblem(each, section, problem, only);
    for (const each of students) {
      each.element.hidden = (section !== "" && each.section !== section)
        || (problem !== "" && !each.problems.includes(problem)) || (only !== "" && !each.turns.includes(only));
    }
    for (const list of lists) {
      const here = turns.filter((turn) => turn.list === list).sort((a, b) => b.weight - a.weight);  // the rest as it was
      list.append(...here.map((turn) => turn.element));
    }
    const left = turns.filter((turn) => !turn.element.hidden).length;
    const none = document.getElementById("none");
    if (none) none.hidden = left > 0;
    const where = [section && `section ${section}`, problem && `problem ${problem}`].filter(Boolean).join(", ");
    document.getElementById("shown").textContent = section || problem || only
      ? `${left} of ${turns.length} wrong turns shown${where ? " for " + where : ""}.`
      : "Everything is shown.";
  };
  form.addEventListener("change", apply);
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(apply));
  choose.hidden = false;
  if ([...form.querySelectorAll("select")].some((each) => each.value)) apply(); // a reload may restore a choice

  // A link to a wrong turn that the filters hide shows it again.
  const arrive = () => {
    const goal = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (goal && goal.hidden) {
      form.reset();
      setTimeout(() => goal.scrollIntoView());
    }
  };
  addEventListener("hashchange", arrive);
})();
