"""Reads reports back with tools of others: PDF with poppler, DOCX with python-docx, CSV and JSON with Python's own.

`python3 tests/paper.py FOLDER...` looks at the files of each report folder; it needs poppler-utils and the packages that
./check puts into .venv.
"""
import csv
import json
import subprocess
import sys
import unicodedata
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import docx
import srt
import webvtt
from pypdf import PdfReader

DRAFT = "Draft. Not everything in it has been confirmed"
HEADINGS = ["At a glance", "The equipment", "Please read before acting on this", "Everything recorded"]
WORD = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
DRAWING = "{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}"


def run(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def words(text):
    # A word that may be broken anywhere holds spaces of no width; a line's end is a space; some fonts set "fi" as one sign.
    return unicodedata.normalize("NFKC", " ".join(text.replace("\u200b", "").split()))


def lacks(text, record):
    """What a reader must find in every form and does not."""
    visit = record["visit"]
    wanted = HEADINGS + [" ".join(visit[key].split()) for key in ("property", "client", "inspector")]
    text, run_together = words(text), "".join(words(text).split())
    # A line may end within a long word.
    return [f"'{want[:60]}' is not in it" for want in wanted if want not in text and "".join(want.split()) not in run_together]


def pdf(path, record, is_draft):
    found = lacks(run("pdftotext", path, "-"), record)
    about = run("pdfinfo", path)
    # PDF/UA-1 (ISO 14289-1): tagged, with title and language; its own mark stands in the metadata.
    found += [f"pdfinfo does not say {want}" for want in ("Tagged:          yes", "Title:") if want not in about]
    reader = PdfReader(path)
    if reader.trailer["/Root"].get("/Lang") not in ("en", "en-US"):
        found.append("it names no language")
    if b"pdfuaid" not in reader.trailer["/Root"]["/Metadata"].get_data():
        found.append("it does not claim to be PDF/UA")
    for name in ("/JavaScript", "/EmbeddedFiles"):
        if name in (reader.trailer["/Root"].get("/Names") or {}):
            found.append(f"it holds {name}")
    if "/OpenAction" in reader.trailer["/Root"] or "/AA" in reader.trailer["/Root"]:
        found.append("something acts when it is opened")
    links = [a.get_object() for page in reader.pages for a in page.get("/Annots") or []]
    if any("/URI" in (link.get("/A") or {}) for link in links):
        found.append("it links out of itself")
    pages = [words(page.extract_text()) for page in reader.pages]
    if is_draft and any(DRAFT not in page for page in pages):
        found.append("a page does not say that this is a draft")
    print(f"{path}: {len(pages)} pages")
    return found


def word(path, record, is_draft):
    document = docx.Document(path)
    tables = [cell.text for table in document.tables for row in table.rows for cell in row.cells]
    text = "\n".join([paragraph.text for paragraph in document.paragraphs] + tables)
    found = lacks(text, record)
    headings = [p.text for p in document.paragraphs if p.style.name.lower() == "heading 1"]
    found += [f"'{name}' is no heading" for name in HEADINGS if name not in headings]
    if not document.core_properties.title or document.core_properties.language != "en-US":
        found.append("it has no title or no language")
    if is_draft and DRAFT not in "".join(p.text for p in document.sections[0].header.paragraphs):
        found.append("its head does not say that this is a draft")
    with zipfile.ZipFile(path) as parts:
        found += [f"{part} is damaged" for part in [parts.testzip()] if part]
        trees = {n: ElementTree.fromstring(parts.read(n)) for n in parts.namelist() if n.endswith((".xml", ".rels"))}
    body = trees["word/document.xml"]
    found += ["a field could be calculated" for _ in body.iter(WORD + "instrText")]
    pictures = list(body.iter(DRAWING + "docPr"))
    found += ["a picture has no text" for picture in pictures if not picture.get("descr")]
    if len({picture.get("id") for picture in pictures}) != len(pictures):
        found.append("two pictures share an id")
    found += [
        f"{name} points out of the file"
        for name, tree in trees.items()
        for link in tree.iter()
        if link.get("TargetMode") == "External"
    ]
    return found


def table(path, record):
    with path.open(newline="", encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines, strict=True))
    facts = record["record"]["facts"]
    found = [] if len(rows) == len(facts) else [f"{len(rows)} rows for {len(facts)} facts"]
    for row, fact in zip(rows, facts):
        if (row["component"], row["attribute"]) != (fact["component"], fact["attribute"]):
            found.append(f"{row} is not {fact}")
        # What spreadsheets take for a formula (OWASP, CSV injection).
        found += [f"{cell!r} would be calculated" for cell in row.values() if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]
    return found


def faults(folder):
    record = json.loads((folder / "record.json").read_text("utf-8"))
    is_draft = any(f["state"] == "heard" or f.get("disputed") for f in record["record"]["facts"])
    found = [f"report.pdf: {fault}" for fault in pdf(folder / "report.pdf", record, is_draft)]
    found += [f"report.docx: {fault}" for fault in word(folder / "report.docx", record, is_draft)]
    found += [f"facts.csv: {fault}" for fault in table(folder / "facts.csv", record)]
    for path in folder.glob("*.vtt"):
        found += [] if list(webvtt.read(str(path))) else [f"{path.name} holds no cue"]
    for path in folder.glob("*.srt"):
        found += [] if list(srt.parse(path.read_text("utf-8"))) else [f"{path.name} holds no cue"]
    return [f"{folder}: {fault}" for fault in found]


folders = [Path(name) for name in sys.argv[1:]]
wrong = [fault for folder in folders for fault in faults(folder)]
print("\n".join(wrong) or f"{len(folders)} reports read back")
sys.exit(bool(wrong))
