// SPDX-License-Identifier: GPL-3.0-or-later
// The handle of the trade-off curve: steps through its plans, and the page follows.

(() => {
  const slider = document.getElementById('trade-plan');
  if (!slider) return;
  const rows = [...document.querySelectorAll('#trade-plans tbody tr')];
  const told = document.getElementById('trade-told');

  // Without the model only the curve and the table say what the plan is.
  function choose(i) {
    for (const element of document.querySelectorAll('#trade [data-plan]'))
      element.classList.toggle('chosen', Number(element.dataset.plan) === i);
    const [money, spread, together, , full, , step] = [...rows[i].querySelectorAll('td')].map((cell) => cell.textContent);
    told.textContent = `Plan ${i + 1}: money ${money}, spread ${spread}, together ${together}, full cleanouts ${full}. ${step}`;
    slider.value = i;
    slider.setAttribute('aria-valuetext', `plan ${i + 1} of ${rows.length}`);
  }

  async function take(i) {
    choose(i);
    if (await byHand.ready) byHand.takeFromCurve(i);
  }

  slider.addEventListener('input', () => take(Number(slider.value)));
  document.getElementById('trade').addEventListener('click', (event) => {
    const mark = event.target.closest('[data-plan]');
    if (mark) take(Number(mark.dataset.plan));
  });
  document.getElementById('hand-back')?.addEventListener('click', () => choose(Number(slider.dataset.best)));
  document.getElementById('trade-handle').hidden = false;
  choose(Number(slider.dataset.best));
})();
