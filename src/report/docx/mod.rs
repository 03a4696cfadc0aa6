//! The report as a file for word processors (Office Open XML), for an office that goes on writing in it.
mod block;
mod finish;
mod section;

use super::{Error, Page};
use block::Blocks;
use std::io::Cursor;

/// Draws the page as a file for word processors.
pub fn docx(page: &Page) -> Result<Vec<u8>, Error> {
    let mut blocks = Blocks::new(page);
    section::cover(page, &mut blocks)?;
    for id in &page.order {
        section::section(id, page, &mut blocks)?;
    }
    let mut parts = blocks.docx.build();
    finish::finish(&mut parts, page, &blocks.alts);
    let mut file = Cursor::new(Vec::new());
    parts.pack(&mut file).map_err(|e| Error::Word { what: e.to_string() })?;
    Ok(file.into_inner())
}
