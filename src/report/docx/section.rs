//! The sections of the report, written into a word processor's document.
use super::block::Blocks;
use crate::report::Error;
use crate::report::page::{Finding, Group, Line, Page, Proof};

/// What stands above the sections.
pub fn cover(page: &Page, to: &mut Blocks) -> Result<(), Error> {
    let w = |key: &str| page.words[key].as_str();
    if let Some(draft) = &page.draft {
        to.warning(w("draft"), &format!("{draft} {}", w("draft-end")));
    }
    if let Some(logo) = &page.office.logo {
        to.pictures(std::slice::from_ref(logo))?;
    }
    if !page.office.name.is_empty() {
        to.led(&page.office.name, &page.office.lines.join(", "));
    }
    to.styled("Title", &page.title);
    to.styled("Subtitle", &page.cover.property);
    to.terms(&[
        (w("date"), &page.cover.date),
        (w("inspector"), &page.cover.inspector),
        (w("client"), &page.cover.client),
        (w("standard"), &page.cover.standard),
        (w("standing"), &page.standing),
        (w("revision"), &page.cover.revision),
    ]);
    Ok(())
}

/// The section with this id; one that has nothing to tell is left out.
pub fn section(id: &str, page: &Page, to: &mut Blocks) -> Result<(), Error> {
    match id {
        "glance" => glance(page, to),
        "findings" => return page.groups.iter().try_for_each(|group| findings(page, group, to)),
        "equipment" => equipment(page, to),
        "readings" if !page.readings.is_empty() => readings(page, to),
        "figures" if !page.figures.is_empty() => figures(page, to),
        "unseen" => unseen(page, to),
        "outside" if !page.outside.is_empty() => bullets(page, to, "outside", &page.outside),
        "open" => open(page, to),
        "photographs" => return photographs(page, to),
        "remarks" if !page.remarks.is_empty() => bullets(page, to, "remarks", &page.remarks),
        "cautions" => cautions(page, to),
        "everything" => everything(page, to),
        "decided" => decided(page, to),
        _ => {}
    }
    Ok(())
}

fn heading(page: &Page, to: &mut Blocks, key: &str) {
    to.styled("Heading1", &page.words[key]);
}

fn bullets(page: &Page, to: &mut Blocks, key: &str, lines: &[String]) {
    heading(page, to, key);
    lines.iter().for_each(|line| to.bullet("", line));
}

fn glance(page: &Page, to: &mut Blocks) {
    let w = |key: &str| page.words[key].as_str();
    heading(page, to, "glance");
    to.text(&page.glance);
    let row = |group: &Group, f: &Finding| vec![marked(group), f.title.clone(), f.item.clone()];
    let rows: Vec<Vec<String>> = page.groups.iter().flat_map(|g| g.findings.iter().map(move |f| row(g, f))).collect();
    if !rows.is_empty() {
        to.table(&[3, 5, 3], &[w("kind"), w("point"), w("where")], rows);
    }
}

/// A class with its sign, so that no colour is needed to tell it.
fn marked(group: &Group) -> String {
    format!("{} {}", group.sign, group.label)
}

fn findings(page: &Page, group: &Group, to: &mut Blocks) -> Result<(), Error> {
    let w = |key: &str| page.words[key].as_str();
    to.styled("Heading1", &marked(group));
    to.quiet(&group.meaning);
    for finding in &group.findings {
        to.styled("Heading2", &finding.title);
        to.quiet(&finding.item);
        if finding.provisional {
            to.led(w("uncertain"), w("uncertain-why"));
        }
        to.terms(&[
            (w("found"), &finding.because),
            (w("meaning"), &finding.meaning),
            (w("next"), &finding.next),
            (w("trade"), &finding.trade),
            (w("caution"), &finding.caution),
            (w("source"), &finding.sources.join("; ")),
        ]);
        to.pictures(&finding.pictures)?;
    }
    Ok(())
}

fn equipment(page: &Page, to: &mut Blocks) {
    heading(page, to, "equipment");
    for item in &page.items {
        to.styled("Heading2", &item.name);
        if item.facts.is_empty() {
            to.text(&page.words["no-plate"]);
        }
        let rows: Vec<(&str, &str)> = item.facts.iter().map(|f| (f.label.as_str(), f.value.as_str())).collect();
        to.terms(&rows);
    }
}

fn readings(page: &Page, to: &mut Blocks) {
    let w = |key: &str| page.words[key].as_str();
    heading(page, to, "readings");
    to.text(w("readings-lead"));
    let rows = page.readings.iter();
    let rows = rows.map(|r| [&r.label, &r.place, &r.value, &r.limit, &r.outcome].map(String::clone).to_vec()).collect();
    to.table(&[3, 2, 2, 3, 2], &[w("reading"), w("where"), w("value"), w("limit"), w("outcome")], rows);
}

fn figures(page: &Page, to: &mut Blocks) {
    let w = |key: &str| page.words[key].as_str();
    heading(page, to, "figures");
    to.text(w("figures-lead"));
    for figure in &page.figures {
        to.styled("Heading2", &figure.title);
        to.quiet(&figure.item);
        if figure.provisional {
            to.led(w("uncertain"), w("uncertain-why"));
        }
        to.terms(&[
            (w("from"), &figure.inputs.join("; ")),
            (w("result"), &figure.results.join("; ")),
            (w("formula"), &figure.formula),
            (w("source"), &figure.source),
            (w("note"), &figure.notes),
        ]);
    }
}

fn unseen(page: &Page, to: &mut Blocks) {
    let w = |key: &str| page.words[key].as_str();
    heading(page, to, "unseen");
    if page.limits.is_empty() {
        return to.text(w("unseen-none"));
    }
    let rows = page.limits.iter().map(|l| vec![l.part.clone(), l.why.clone(), l.item.clone()]).collect();
    to.table(&[3, 4, 3], &[w("part"), w("why"), w("where")], rows);
    to.text(w("unseen-end"));
}

fn open(page: &Page, to: &mut Blocks) {
    heading(page, to, "open");
    if page.open.is_empty() {
        to.text(&page.words["open-none"]);
    }
    page.open.iter().for_each(|q| to.bullet(&q.what, &format!("({}): {}", q.item, q.why)));
}

fn photographs(page: &Page, to: &mut Blocks) -> Result<(), Error> {
    let w = |key: &str| page.words[key].as_str();
    heading(page, to, "photographs");
    if page.photos.is_empty() {
        to.text(w("photographs-none"));
    }
    for shot in &page.photos {
        let said = shot.proof.as_ref().map(|proof| format!(". {}", told(proof))).unwrap_or_default();
        to.numbered(&format!("{} ({}){said}", shot.of, shot.item));
        to.pictures(&shot.pictures)?;
    }
    if !page.files.is_empty() {
        to.text(w("photographs-files"));
        page.files.iter().for_each(|file| to.bullet("", file));
    }
    Ok(())
}

fn told(proof: &Proof) -> String {
    let at = if proof.at.is_empty() { String::new() } else { format!(", {}", proof.at) };
    format!("{}{at}: “{}”", proof.note, proof.words)
}

fn cautions(page: &Page, to: &mut Blocks) {
    heading(page, to, "cautions");
    page.cautions.iter().for_each(|c| to.bullet(&format!("{}.", c.title), &c.text));
}

fn everything(page: &Page, to: &mut Blocks) {
    let w = |key: &str| page.words[key].as_str();
    heading(page, to, "everything");
    to.text(w("everything-lead"));
    let row = |line: &Line| {
        let proofs: Vec<String> = line.proofs.iter().map(told).collect();
        vec![format!("{}: {}", line.part, line.label), line.value.clone(), line.standing.clone(), proofs.join("; ")]
    };
    for item in &page.items {
        to.styled("Heading2", &item.name);
        let head = [w("what"), w("value"), w("standing"), w("said")];
        to.table(&[4, 3, 2, 4], &head, item.all.iter().map(row).collect());
    }
}

fn decided(page: &Page, to: &mut Blocks) {
    let w = |key: &str| page.words[key].as_str();
    heading(page, to, "decided");
    if page.people.is_empty() {
        to.text(w("decided-none"));
    }
    page.people.iter().for_each(|p| to.bullet("", &format!("{}: {}, {}", p.name, p.what, p.when)));
    if !page.changes.is_empty() {
        let row = |c: &crate::report::page::Change| {
            [&c.when, &c.who, &c.what, &c.was, &c.is, &c.why].map(String::clone).to_vec()
        };
        let head = [w("when"), w("who"), w("what"), w("was"), w("is"), w("why")];
        to.table(&[2, 2, 3, 2, 2, 2], &head, page.changes.iter().map(row).collect());
    }
    if let Some(signed) = &page.signature {
        to.terms(&[(w("signed"), &signed.by), (w("when"), &signed.when), (w("seal"), &signed.seal)]);
        to.quiet(w("seal-why"));
    }
    to.sign_off([w("sign-inspector"), w("sign-date")]);
}
