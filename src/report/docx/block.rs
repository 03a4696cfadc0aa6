//! What a document of a word processor is put together from.
use crate::report::Error;
use crate::report::office::Paper;
use crate::report::page::{Page, Picture};
use docx_rs::{
    AbstractNumbering, Docx, Footer, Header, IndentLevel, Level, LevelJc, LevelText, LineSpacing, NumPages,
    NumberFormat, Numbering, NumberingId, PageMargin, PageNum, Paragraph, Pic, Run, RunFonts, Shading,
    SpecialIndentType, Start, Style, StyleType, Table, TableBorder, TableBorderPosition, TableBorders, TableCell,
    TableLayoutType, TableRow, WidthType,
};

/// Twentieths of a point, in which these files measure, in a millimetre.
const MM: i32 = 57;
/// English Metric Units in a pixel at 96 to the inch.
const EMU: u32 = 9525;
/// The width between the margins on the narrower of the papers, in twentieths of a point.
const WIDTH: usize = 9600;
const BULLETS: usize = 2;
const NUMBERS: usize = 3;
const SOFT: &str = "4C555E";

/// A document that is being written, one block after the other.
pub struct Blocks {
    pub docx: Docx,
    /// What each picture shows, in the order in which they stand.
    pub alts: Vec<String>,
}

impl Blocks {
    /// An empty document on the office's paper.
    pub fn new(page: &Page) -> Blocks {
        let (width, height) = match page.office.paper {
            Paper::Letter => (12_240, 15_840),
            Paper::A4 => (11_906, 16_838),
        };
        let margin =
            PageMargin::new().top(22 * MM).bottom(20 * MM).left(20 * MM).right(20 * MM).header(500).footer(500);
        let footer = Paragraph::new()
            .add_run(small(&format!("{} {}   ", page.words["made-with"], page.version)))
            .add_page_num(PageNum::new())
            .add_run(small(&format!(" {} ", page.words["page-of"])))
            .add_num_pages(NumPages::new());
        let mut docx = Docx::new()
            .page_size(width, height)
            .page_margin(margin)
            .default_fonts(RunFonts::new().ascii("Calibri").hi_ansi("Calibri").cs("Calibri"))
            .created_at(&format!("{}T00:00:00Z", page.cover.day))
            .updated_at(&format!("{}T00:00:00Z", page.cover.day))
            .default_size(21)
            .default_line_spacing(LineSpacing::new().after(100))
            .footer(Footer::new().add_paragraph(footer));
        if page.draft.is_some() {
            let said = Paragraph::new().add_run(Run::new().add_text(&page.words["draft-page"]).bold().size(18));
            docx = docx.header(Header::new().add_paragraph(said));
        }
        Blocks { docx: lists(styles(docx)), alts: Vec::new() }
    }

    fn put(&mut self, paragraph: Paragraph) {
        self.docx = std::mem::take(&mut self.docx).add_paragraph(paragraph);
    }

    fn put_table(&mut self, table: Table) {
        self.docx = std::mem::take(&mut self.docx).add_table(table);
        // Two tables that touch become one.
        self.put(Paragraph::new().line_spacing(LineSpacing::new().after(0)));
    }

    /// A line in one of the document's styles: `Title`, `Subtitle`, `Heading1`, `Heading2`.
    pub fn styled(&mut self, style: &str, text: &str) {
        self.put(Paragraph::new().style(style).add_run(Run::new().add_text(text)));
    }

    pub fn text(&mut self, text: &str) {
        self.put(Paragraph::new().add_run(Run::new().add_text(text)));
    }

    /// A line that explains, less loud than the rest.
    pub fn quiet(&mut self, text: &str) {
        self.put(Paragraph::new().add_run(small(text)));
    }

    /// A line that opens with a word in bold.
    pub fn led(&mut self, lead: &str, text: &str) {
        self.put(led(lead, text));
    }

    pub fn bullet(&mut self, lead: &str, text: &str) {
        self.put(led(lead, text).numbering(NumberingId::new(BULLETS), IndentLevel::new(0)));
    }

    pub fn numbered(&mut self, text: &str) {
        let line = Paragraph::new().add_run(Run::new().add_text(text));
        self.put(line.numbering(NumberingId::new(NUMBERS), IndentLevel::new(0)));
    }

    /// Names with their values; empty ones are left out.
    pub fn terms(&mut self, rows: &[(&str, &str)]) {
        let rows: Vec<TableRow> = rows.iter().filter(|(_, value)| !value.is_empty()).map(term).collect();
        if !rows.is_empty() {
            self.put_table(table(rows, vec![2200, WIDTH - 2200]));
        }
    }

    /// A table with a head that is repeated on each page; the widths are shares.
    pub fn table(&mut self, widths: &[usize], head: &[&str], rows: Vec<Vec<String>>) {
        let whole: usize = widths.iter().sum();
        let grid: Vec<usize> = widths.iter().map(|w| w * WIDTH / whole).collect();
        let cell = |text: &str, width: usize, bold: bool| {
            let run = Run::new().add_text(text).size(19);
            let run = if bold { run.bold().color(SOFT) } else { run };
            TableCell::new().width(width, WidthType::Dxa).add_paragraph(tight().add_run(run))
        };
        let line = |cells: Vec<&str>, bold: bool| {
            TableRow::new(cells.into_iter().zip(&grid).map(|(text, &width)| cell(text, width, bold)).collect())
        };
        // Only a head is kept whole; it is known by that when the file is finished.
        let head = line(head.to_vec(), true).cant_split();
        let body = rows.iter().map(|row| line(row.iter().map(String::as_str).collect(), false));
        let rows: Vec<TableRow> = std::iter::once(head).chain(body).collect();
        self.put_table(table(rows, grid.clone()));
    }

    /// Pictures, each on its own line, no higher than a third of the page.
    pub fn pictures(&mut self, pictures: &[Picture]) -> Result<(), Error> {
        for picture in pictures {
            let (width, height) = fitted(picture);
            let pic = Pic::new_with_dimensions(png(picture)?, width, height).size(width * EMU, height * EMU);
            self.put(Paragraph::new().add_run(Run::new().add_image(pic)));
            self.alts.push(picture.alt.clone());
        }
        Ok(())
    }

    /// Room for a name by hand.
    pub fn sign_off(&mut self, labels: [&str; 2]) {
        self.put(Paragraph::new().line_spacing(LineSpacing::new().before(900)));
        let cell = |label: &str| TableCell::new().add_paragraph(tight().add_run(small(label)));
        let row = TableRow::new(labels.into_iter().map(cell).collect());
        let line = TableBorder::new(TableBorderPosition::Top).size(8);
        self.put_table(
            table(vec![row], vec![WIDTH * 2 / 3, WIDTH / 3]).set_borders(TableBorders::with_empty().set(line)),
        );
    }

    /// A paragraph that stands out by more than its colour.
    pub fn warning(&mut self, lead: &str, text: &str) {
        let cell = TableCell::new().shading(Shading::new().fill("FFF6D6")).add_paragraph(led(lead, text));
        self.put_table(Table::new(vec![TableRow::new(vec![cell])]).set_grid(vec![WIDTH]));
    }
}

fn small(text: &str) -> Run {
    Run::new().add_text(text).size(18).color(SOFT)
}

fn led(lead: &str, text: &str) -> Paragraph {
    let paragraph = Paragraph::new();
    let text = Run::new().add_text(text);
    if lead.is_empty() {
        return paragraph.add_run(text);
    }
    paragraph.add_run(Run::new().add_text(format!("{lead} ")).bold()).add_run(text)
}

fn tight() -> Paragraph {
    Paragraph::new().line_spacing(LineSpacing::new().before(30).after(30))
}

fn term((name, value): &(&str, &str)) -> TableRow {
    let name = Run::new().add_text(*name).bold().color(SOFT);
    let value = Run::new().add_text(*value);
    let cell = |run: Run, width| TableCell::new().width(width, WidthType::Dxa).add_paragraph(tight().add_run(run));
    TableRow::new(vec![cell(name, 2200), cell(value, WIDTH - 2200)])
}

fn table(rows: Vec<TableRow>, grid: Vec<usize>) -> Table {
    let line = |position| TableBorder::new(position).size(4).color("C3C9CF");
    let lines = [TableBorderPosition::Top, TableBorderPosition::Bottom, TableBorderPosition::InsideH];
    let borders = lines.into_iter().fold(TableBorders::with_empty(), |borders, at| borders.set(line(at)));
    Table::new(rows).set_grid(grid).layout(TableLayoutType::Fixed).width(WIDTH, WidthType::Dxa).set_borders(borders)
}

fn styles(docx: Docx) -> Docx {
    let style = |id: &str, name: &str, size: usize| Style::new(id, StyleType::Paragraph).name(name).size(size).bold();
    let above = |before| LineSpacing::new().before(before).after(80);
    docx.add_style(style("Title", "Title", 48).line_spacing(above(0)))
        .add_style(Style::new("Subtitle", StyleType::Paragraph).name("Subtitle").size(26))
        .add_style(style("Heading1", "heading 1", 30).outline_lvl(0).line_spacing(above(360)))
        .add_style(style("Heading2", "heading 2", 24).outline_lvl(1).line_spacing(above(240)))
}

fn lists(docx: Docx) -> Docx {
    let list = |id, format: &str, text: &str| {
        let level = Level::new(0, Start::new(1), NumberFormat::new(format), LevelText::new(text), LevelJc::new("left"));
        let indent = SpecialIndentType::Hanging(360);
        AbstractNumbering::new(id).add_level(level.indent(Some(500), Some(indent), None, None))
    };
    docx.add_abstract_numbering(list(BULLETS, "bullet", "•"))
        .add_abstract_numbering(list(NUMBERS, "decimal", "%1."))
        .add_numbering(Numbering::new(BULLETS, BULLETS))
        .add_numbering(Numbering::new(NUMBERS, NUMBERS))
}

/// Pixels at 96 to the inch: at most 12 cm wide and 8 cm high.
fn fitted(picture: &Picture) -> (u32, u32) {
    let shrink = (454.0 / f64::from(picture.width)).min(302.0 / f64::from(picture.height)).min(1.0);
    let side = |pixels: u32| ((f64::from(pixels) * shrink).round() as u32).max(1);
    (side(picture.width), side(picture.height))
}

/// The library writes every picture under the name of a PNG.
fn png(picture: &Picture) -> Result<Vec<u8>, Error> {
    let fault = |source| Error::Picture { path: picture.file.clone().into(), source };
    let pixels = image::load_from_memory(&picture.jpeg).map_err(fault)?;
    let (width, height) = fitted(picture);
    let mut bytes = std::io::Cursor::new(Vec::new());
    // Twice the size shown, so that a print stays sharp.
    pixels.thumbnail(width * 2, height * 2).write_to(&mut bytes, image::ImageFormat::Png).map_err(fault)?;
    Ok(bytes.into_inner())
}
