//! The report as one HTML page that needs nothing beside it.
use super::{Error, Page, Source};
use minijinja::value::Serde;
use minijinja::{AutoEscape, Environment, Value, context};
use std::collections::BTreeMap;

const TEMPLATES: [(&str, &str); 3] = [
    ("bits.html", include_str!("bits.html")),
    ("page.html", include_str!("page.html")),
    ("sections.html", include_str!("sections.html")),
];

/// Draws the page by the office's template, or by the one that ships.
pub fn html(source: &Source, page: &Page) -> Result<String, Error> {
    let mut environment = Environment::new();
    // Whatever a template is called, what goes into it was spoken or typed by somebody and is text.
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    // Nor can a template say otherwise by a slip.
    environment.remove_filter("safe");
    environment.set_undefined_behavior(minijinja::UndefinedBehavior::Strict);
    let shipped = |source| Error::Template { source };
    for (name, text) in TEMPLATES {
        environment.add_template(name, text).map_err(shipped)?;
    }
    let whole = context! {
        style => Value::from_safe_string(include_str!("page.css").to_owned()),
        pictures => pictures(page),
        ..Value::from(Serde(page))
    };
    let Some((path, text)) = &source.office.template else {
        return environment.get_template("page.html").and_then(|t| t.render(whole)).map_err(shipped);
    };
    let own = |source| Error::OfficeTemplate { path: path.clone(), source };
    environment.add_template("office.html", text).map_err(own)?;
    environment.get_template("office.html").and_then(|t| t.render(whole)).map_err(own)
}

/// Every picture of the page as an address that holds the picture itself.
fn pictures(page: &Page) -> BTreeMap<&str, String> {
    page.pictures().map(|p| (p.file.as_str(), format!("data:image/jpeg;base64,{}", base64(&p.jpeg)))).collect()
}

/// Base 64 (RFC 4648, section 4).
fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for chunk in bytes.chunks(3) {
        let three = [chunk[0], chunk.get(1).copied().unwrap_or(0), chunk.get(2).copied().unwrap_or(0)];
        let bits = u32::from_be_bytes([0, three[0], three[1], three[2]]);
        for at in 0..4 {
            let letter = LETTERS[(bits >> (18 - 6 * at)) as usize & 63];
            text.push(if at <= chunk.len() { char::from(letter) } else { '=' });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::base64;

    #[test]
    fn base_64_is_the_published_one() {
        // RFC 4648, section 10.
        for (plain, coded) in [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foobar", "Zm9vYmFy")] {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}
