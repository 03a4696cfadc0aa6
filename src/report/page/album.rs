//! The photographs of a visit, each where it belongs in the report.
use super::draw::Drawing;
use super::stand::proof;
use super::{Finding, Picture, Shot};
use crate::judge::Rule;
use crate::record::{Photo, Placed};
use crate::report::{Source, clean};
use std::collections::BTreeSet;

/// Names of the photographs that belong to nothing that was said.
pub(super) fn unplaced(source: &Source) -> Vec<String> {
    source.photographs.iter().filter(|p| p.of.is_none()).map(|p| clean(&p.name)).collect()
}

/// The photographs of the parts that a rule speaks of.
pub(super) fn of_rule(draw: &Drawing, rule: &Rule, item: u32) -> Vec<Picture> {
    let speaks_of = |component: &str| {
        let key = format!("{component}.");
        rule.when.split(|c: char| !(c.is_alphanumeric() || "-._".contains(c))).any(|word| word.starts_with(&key))
    };
    let belongs = |p: &&Placed| p.item == item && p.of.as_deref().is_some_and(speaks_of);
    draw.source.photographs.iter().filter(belongs).filter_map(|placed| picture(draw, placed)).collect()
}

/// What the notes call a photograph, with the files that fit, and then the files that fit to other words.
///
/// A picture that stands with a finding is not shown a second time.
pub(super) fn shots<'f>(draw: &Drawing, findings: impl Iterator<Item = &'f Finding>) -> Vec<Shot> {
    let shown: BTreeSet<&str> = findings.flat_map(|f| &f.pictures).map(|p| p.file.as_str()).collect();
    let pictures = |placed: &mut dyn Iterator<Item = &Placed>| -> Vec<Picture> {
        placed.filter_map(|p| picture(draw, p)).filter(|p| !shown.contains(p.file.as_str())).collect()
    };
    let source = draw.source;
    let marked = source.record.photos.iter().enumerate().map(|(at, photo): (usize, &Photo)| Shot {
        of: part(source, &photo.of),
        item: draw.name(photo.item),
        proof: photo.evidence.first().map(proof),
        pictures: pictures(&mut source.photographs.iter().filter(|p| p.mark == Some(at))),
    });
    let others = source.photographs.iter().filter(|p| p.mark.is_none());
    let others = others.filter_map(|placed| {
        let pictures = pictures(&mut std::iter::once(placed));
        let of = part(source, placed.of.as_deref()?);
        (!pictures.is_empty()).then(|| Shot { of, item: draw.name(placed.item), proof: None, pictures })
    });
    marked.chain(others).collect()
}

fn part(source: &Source, component: &str) -> String {
    clean(&source.catalogue.names.part(component))
}

fn picture(draw: &Drawing, placed: &Placed) -> Option<Picture> {
    let source = draw.source;
    let number = source.photographs.iter().position(|p| p.name == placed.name)? + 1;
    let thumbnail = source.thumbnails.get(&placed.name)?;
    let of = part(source, placed.of.as_deref()?);
    Some(Picture {
        file: format!("photo-{number}.jpg"),
        alt: format!("Photograph: {of}, {}", draw.name(placed.item)),
        width: thumbnail.width,
        height: thumbnail.height,
        jpeg: thumbnail.jpeg.clone(),
    })
}
