"""The page for a phone in a real browser: anything typed, pressed and dragged; no fault, no NaN on the page."""

from __future__ import annotations

import random
import re
from pathlib import Path

from tests.fuzz.inputs import NUMBERS, OTHERS

TYPED = (*NUMBERS, *OTHERS, "50", "0,05", "12", "80", "110", "<script>x</script>", "-", " ", "1e3", "µ")
STEP = """
([number, what]) => {
  const shown = [...document.querySelectorAll("button, input, select, summary, [tabindex], svg")]
    .filter(e => !e.disabled && e.getClientRects().length);  // what a hand reaches: neither hidden nor switched off
  if (!shown.length) return "";
  const e = shown[number % shown.length];
  if (e.tagName === "INPUT" && !["radio", "checkbox"].includes(e.type)) {
    if (e.type === "range") e.value = Number(e.min) + (number % 97) / 96 * (Number(e.max) - Number(e.min));
    else e.value = what.replace(/[\\u0000]/g, "");
    e.dispatchEvent(new Event("input", {bubbles: true})); e.dispatchEvent(new Event("change", {bubbles: true}));
  } else if (e.tagName === "SELECT") {
    e.selectedIndex = number % e.options.length; e.dispatchEvent(new Event("change", {bubbles: true}));
  } else {
    const b = e.getBoundingClientRect(), at = {bubbles: true, clientX: b.left + b.width * (number % 89) / 88,
      clientY: b.top + b.height * (number % 83) / 82};
    for (const kind of ["pointerdown", "pointermove", "pointerup", "click"])
      e.dispatchEvent(kind === "click" ? new MouseEvent(kind, at) : new PointerEvent(kind, {...at, pointerId: 1}));
  }
  return document.body.innerText;
}
"""
NONE = re.compile(r"\b(NaN|Infinity|undefined|\[object)\b")


def page_fuzzed(page_file: Path, steps: int, seed: int) -> list[str]:
    """Do ``steps`` things on a page; what went wrong, with the steps that led to it.

    Raises
    ------
    ImportError, playwright.Error
        Where there is no browser.
    """
    from playwright.sync_api import sync_playwright

    from scenes.pages.pdf import browser

    rng = random.Random(seed)
    wrong: list[str] = []
    with sync_playwright() as driver:
        chromium = driver.chromium.launch(executable_path=str(browser()), args=["--no-sandbox"])
        page = chromium.new_page(viewport={"width": 400, "height": 800}, accept_downloads=True)
        page.on("pageerror", lambda error: wrong.append(f"fault: {error}"))
        page.on("dialog", lambda dialog: dialog.accept())
        page.on(
            "request",
            lambda asked: None if asked.url.startswith(("file:", "blob:", "data:")) else wrong.append(asked.url),
        )
        page.goto(page_file.resolve().as_uri())
        for number in range(steps):
            if number % 200 == 0:
                page.reload()
            what = rng.choice(TYPED)
            text = page.evaluate(STEP, [rng.randrange(1 << 20), what])
            if found := NONE.search(text or ""):
                around = text[max(0, found.start() - 80) : found.end() + 40].replace("\n", " ")
                wrong.append(f"step {number} of seed {seed} ({what!r}): {around}")
            if len(wrong) > 5:
                break
        chromium.close()
    return wrong
