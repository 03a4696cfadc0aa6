//! What the library does not write: title, language, the usual style, what each picture shows, which row heads a table.
use crate::report::page::Page;
use docx_rs::XMLDocx;

/// Completes the parts of a built document.
pub fn finish(parts: &mut XMLDocx, page: &Page, alts: &[String]) {
    let title = escape(&format!("{}: {}", page.title, page.cover.property));
    let core = format!("<dc:title>{title}</dc:title><dc:language>en-US</dc:language></cp:coreProperties>");
    change(&mut parts.doc_props.core, |xml| {
        let named = xml.replace("<dc:creator>unknown<", &format!("<dc:creator>{}<", escape(&page.cover.inspector)));
        named.replace("</cp:coreProperties>", &core)
    });
    change(&mut parts.styles, |xml| {
        let normal = "w:type=\"paragraph\" w:styleId=\"Normal\"";
        xml.replacen("</w:rPr></w:rPrDefault>", "<w:lang w:val=\"en-US\" /></w:rPr></w:rPrDefault>", 1).replacen(
            normal,
            &format!("w:default=\"1\" {normal}"),
            1,
        )
    });
    change(&mut parts.document, |xml| {
        with_alts(&xml, alts).replace("<w:cantSplit />", "<w:cantSplit /><w:tblHeader />")
    });
}

/// Names every picture by what it shows; an id may stand only once in a document.
fn with_alts(xml: &str, alts: &[String]) -> String {
    const BARE: &str = "<wp:docPr id=\"1\" name=\"Figure\" />";
    let mut pieces = xml.split(BARE);
    let mut done = pieces.next().unwrap_or_default().to_owned();
    for (number, piece) in (1..).zip(pieces) {
        let alt = escape(alts.get(number - 1).map_or("", String::as_str));
        done += &format!("<wp:docPr id=\"{number}\" name=\"Picture {number}\" descr=\"{alt}\" />{piece}");
    }
    done
}

fn change(part: &mut Vec<u8>, how: impl FnOnce(String) -> String) {
    let text = String::from_utf8_lossy(part).into_owned();
    *part = how(text).into_bytes();
}

fn escape(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
