"""Looks at reports in a browser: parses them by the HTML standard, runs axe's rules on them, prints them.

`python3 tests/page.py REPORT.html...`; it needs Debian's chromium and the packages that ./check puts into .venv.
A report whose first words are a draft's must say so on every printed page, on Letter and on A4.
"""
import io
import sys
import unicodedata
from pathlib import Path

import html5lib
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright
from pypdf import PdfReader

# What WCAG 2.2 asks at level AA, contrast among it, and what axe counts as good practice.
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
DRAFT = "Draft. Not everything in it has been confirmed"


def parse_errors(path):
    """Faults by the parsing rules of the WHATWG HTML standard."""
    parser = html5lib.HTMLParser()
    parser.parse(path.read_text("utf-8"))
    return [f"line {at[0]}: {code}" for at, code, _ in parser.errors]


def faults(browser, path):
    """Everything wrong with one report."""
    found = parse_errors(path)
    page = browser.new_page()
    # A page that asks for anything but itself is one fault; the answer is withheld.
    page.on("request", lambda r: None if r.url == path.as_uri() else found.append(f"it asks for {r.url}"))
    page.on("console", lambda m: found.append(f"console: {m.text}") if m.type == "error" else None)
    page.goto(path.as_uri())
    for width in (1280, 360):
        page.set_viewport_size({"width": width, "height": 800})
        if page.evaluate("document.documentElement.scrollWidth > window.innerWidth"):
            found.append(f"wider than a screen of {width}")
        result = Axe().run(page, options={"runOnly": RULES}).response
        for broken in result["violations"]:
            found += [f"{broken['id']} at {node['target']}: {broken['help']}" for node in broken["nodes"]]
    is_draft = page.locator("p.draft").count() == 1
    for paper in ("Letter", "A4"):
        pages = PdfReader(io.BytesIO(page.pdf(format=paper, print_background=True, prefer_css_page_size=False))).pages
        # Some fonts set "fi" as one sign, which a PDF gives back as such.
        texts = [unicodedata.normalize("NFKC", " ".join(sheet.extract_text().split())) for sheet in pages]
        if is_draft and any(DRAFT not in text for text in texts):
            found.append(f"a page printed on {paper} does not say that this is a draft")
        print(f"{path}: {len(pages)} pages on {paper}")
    page.close()
    return found


with sync_playwright() as play:
    # The page is our own and nothing leaves it; a container lacks what the sandbox needs.
    chromium = play.chromium.launch(executable_path="/usr/bin/chromium", chromium_sandbox=False)
    reports = [Path(name).resolve() for name in sys.argv[1:]]
    wrong = [f"{path}: {fault}" for path in reports for fault in faults(chromium, path)]
    chromium.close()
print("\n".join(wrong) or f"{len(reports)} reports stand up")
sys.exit(bool(wrong))
