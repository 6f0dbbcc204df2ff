//! A word processor's file (Office Open XML, ECMA-376, part 1), written from [`Block`]s: styles that a
//! reader can change at one place, heads of tables that are told, no author and no clock, so that the
//! same letter gives the same bytes.

use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{DateTime, ZipWriter};

use super::blocks::{Block, Rows};
use super::first::Words;
use super::{CAUTION, clean};

/// Twentieths of a point: the width of the line, on US letter with margins of 0.9 inch.
const LINE: u32 = 12_240 - 2 * MARGIN;
/// Twentieths of a point.
const MARGIN: u32 = 1296;

/// The file. Its title stands in its properties and in no line of the page.
///
/// # Errors
/// Where the archive cannot be made: a part of more than 4 GB.
pub fn file(title: &str, blocks: &[Block]) -> std::io::Result<Vec<u8>> {
    let document = document(blocks);
    let core = format!(
        "<cp:coreProperties xmlns:cp=\"http://schemas.openxmlformats.org/package/2006/metadata/core-properties\" \
         xmlns:dc=\"http://purl.org/dc/elements/1.1/\"><dc:title>{}</dc:title>\
         <dc:language>en-US</dc:language></cp:coreProperties>",
        escaped(title)
    );
    let footer = footer();
    let parts: [(&str, &str); 8] = [
        ("[Content_Types].xml", TYPES),
        ("_rels/.rels", RELATIONS),
        ("docProps/core.xml", &core),
        ("word/document.xml", &document),
        ("word/_rels/document.xml.rels", DOCUMENT_RELATIONS),
        ("word/styles.xml", STYLES),
        ("word/numbering.xml", NUMBERING),
        ("word/footer1.xml", &footer),
    ];
    let options = SimpleFileOptions::default().last_modified_time(DateTime::default());
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, part) in parts {
        archive.start_file(name, options)?;
        archive.write_all(HEAD.as_bytes())?;
        archive.write_all(part.as_bytes())?;
    }
    Ok(archive.finish()?.into_inner())
}

fn document(blocks: &[Block]) -> String {
    let mut out = format!("<w:document {NAMESPACES}><w:body>");
    for (n, block) in blocks.iter().enumerate() {
        match block {
            // A second paper in the file begins on a page of its own.
            Block::Title(words) if n > 0 => out.push_str(&headed("Title", words, NEW_PAGE)),
            Block::Title(words) => out.push_str(&headed("Title", words, "")),
            Block::Heading(words) => out.push_str(&headed("Heading1", words, "")),
            Block::Para(words) => out.push_str(&paragraph("", words)),
            Block::Quote(words) => out.push_str(&paragraph(&style("Quote"), words)),
            Block::List(items) => {
                let properties = format!("{}{LISTED}", style("ListBullet"));
                out.extend(items.iter().map(|item| paragraph(&properties, item)));
            }
            Block::Table(rows) => out.push_str(&table(rows)),
        }
    }
    out.push_str(&format!(
        "<w:sectPr><w:footerReference w:type=\"default\" r:id=\"rId3\"/>\
         <w:pgSz w:w=\"12240\" w:h=\"15840\"/>\
         <w:pgMar w:top=\"1080\" w:right=\"{MARGIN}\" w:bottom=\"1080\" w:left=\"{MARGIN}\" \
         w:header=\"600\" w:footer=\"500\" w:gutter=\"0\"/></w:sectPr></w:body></w:document>"
    ));
    out
}

fn style(name: &str) -> String {
    format!("<w:pStyle w:val=\"{name}\"/>")
}

const NEW_PAGE: &str = "<w:pageBreakBefore/>";

fn headed(name: &str, words: &str, more: &str) -> String {
    format!(
        "<w:p><w:pPr>{}{more}</w:pPr>{}</w:p>",
        style(name),
        run(words, false)
    )
}

fn paragraph(properties: &str, words: &[Words]) -> String {
    let runs: String = words.iter().map(|w| run(&w.text, w.deciding)).collect();
    format!("<w:p><w:pPr>{properties}</w:pPr>{runs}</w:p>")
}

fn run(words: &str, bold: bool) -> String {
    let bold = if bold { "<w:rPr><w:b/></w:rPr>" } else { "" };
    format!(
        "<w:r>{bold}<w:t xml:space=\"preserve\">{}</w:t></w:r>",
        escaped(words)
    )
}

fn table(table: &Rows) -> String {
    let widths: Vec<u32> = table.widths.iter().map(|w| w * LINE / 100).collect();
    let mut out = format!(
        "<w:tbl><w:tblPr><w:tblStyle w:val=\"Ruled\"/><w:tblW w:w=\"{LINE}\" w:type=\"dxa\"/>\
         <w:tblLayout w:type=\"fixed\"/><w:tblLook w:firstRow=\"1\" w:firstColumn=\"1\"/>\
         <w:tblCaption w:val=\"{}\"/></w:tblPr><w:tblGrid>",
        escaped(table.caption)
    );
    for width in &widths {
        out.push_str(&format!("<w:gridCol w:w=\"{width}\"/>"));
    }
    out.push_str("</w:tblGrid>");
    let head = table.head.iter().map(|h| super::blocks::plain(h)).collect();
    for (n, row) in std::iter::once(&head).chain(&table.rows).enumerate() {
        let told = if n == 0 { "<w:tblHeader/>" } else { "" };
        out.push_str(&format!("<w:tr><w:trPr><w:cantSplit/>{told}</w:trPr>"));
        for (cell, width) in row.iter().zip(&widths) {
            let name = if n == 0 { "TableHead" } else { "TableText" };
            out.push_str(&format!(
                "<w:tc><w:tcPr><w:tcW w:w=\"{width}\" w:type=\"dxa\"/></w:tcPr>{}</w:tc>",
                paragraph(&style(name), cell)
            ));
        }
        out.push_str("</w:tr>");
    }
    // What follows a table would stick to it.
    out.push_str("</w:tbl><w:p><w:pPr><w:pStyle w:val=\"TableText\"/></w:pPr></w:p>");
    out
}

fn footer() -> String {
    let field = |name: &str| {
        format!("<w:fldSimple w:instr=\" {name} \"><w:r><w:t>1</w:t></w:r></w:fldSimple>")
    };
    format!(
        "<w:ftr {NAMESPACES}><w:p><w:pPr>{}</w:pPr>{}{}{}{}</w:p></w:ftr>",
        style("Footer"),
        run(&format!("{CAUTION} Page "), false),
        field("PAGE"),
        run(" of ", false),
        field("NUMPAGES"),
    )
}

/// Words as XML: nothing in them is markup or a control character.
fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let blank = |c: Option<char>| c.is_some_and(char::is_whitespace);
    if blank(words.chars().next()) {
        out.push(' ');
    }
    for c in clean::line(words).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // The two that XML 1.0 has no place for, although they are characters.
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    if blank(words.chars().next_back()) && !out.ends_with(' ') {
        out.push(' ');
    }
    out
}

const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";

const NAMESPACES: &str = "xmlns:w=\"http://schemas.openxmlformats.org/wordprocessingml/2006/main\" \
    xmlns:r=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships\"";

const LISTED: &str = "<w:numPr><w:ilvl w:val=\"0\"/><w:numId w:val=\"1\"/></w:numPr>";

const TYPES: &str = "<Types xmlns=\"http://schemas.openxmlformats.org/package/2006/content-types\">\
    <Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/>\
    <Default Extension=\"xml\" ContentType=\"application/xml\"/>\
    <Override PartName=\"/word/document.xml\" ContentType=\"application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml\"/>\
    <Override PartName=\"/word/styles.xml\" ContentType=\"application/vnd.openxmlformats-officedocument.wordprocessingml.styles+xml\"/>\
    <Override PartName=\"/word/numbering.xml\" ContentType=\"application/vnd.openxmlformats-officedocument.wordprocessingml.numbering+xml\"/>\
    <Override PartName=\"/word/footer1.xml\" ContentType=\"application/vnd.openxmlformats-officedocument.wordprocessingml.footer+xml\"/>\
    <Override PartName=\"/docProps/core.xml\" ContentType=\"application/vnd.openxmlformats-package.core-properties+xml\"/>\
    </Types>";

const RELATIONS: &str = "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
    <Relationship Id=\"rId1\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument\" Target=\"word/document.xml\"/>\
    <Relationship Id=\"rId2\" Type=\"http://schemas.openxmlformats.org/package/2006/relationships/metadata/core-properties\" Target=\"docProps/core.xml\"/>\
    </Relationships>";

const DOCUMENT_RELATIONS: &str = "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/relationships\">\
    <Relationship Id=\"rId1\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles\" Target=\"styles.xml\"/>\
    <Relationship Id=\"rId2\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/numbering\" Target=\"numbering.xml\"/>\
    <Relationship Id=\"rId3\" Type=\"http://schemas.openxmlformats.org/officeDocument/2006/relationships/footer\" Target=\"footer1.xml\"/>\
    </Relationships>";

const NUMBERING: &str = "<w:numbering xmlns:w=\"http://schemas.openxmlformats.org/wordprocessingml/2006/main\">\
    <w:abstractNum w:abstractNumId=\"0\"><w:lvl w:ilvl=\"0\"><w:start w:val=\"1\"/><w:numFmt w:val=\"bullet\"/>\
    <w:lvlText w:val=\"\u{2022}\"/><w:lvlJc w:val=\"left\"/>\
    <w:pPr><w:ind w:left=\"300\" w:hanging=\"220\"/></w:pPr></w:lvl></w:abstractNum>\
    <w:num w:numId=\"1\"><w:abstractNumId w:val=\"0\"/></w:num></w:numbering>";

/// Half points of the text: 10 points.
const STYLES: &str = "<w:styles xmlns:w=\"http://schemas.openxmlformats.org/wordprocessingml/2006/main\">\
    <w:docDefaults><w:rPrDefault><w:rPr><w:rFonts w:ascii=\"Times New Roman\" w:hAnsi=\"Times New Roman\" w:cs=\"Times New Roman\"/>\
    <w:sz w:val=\"20\"/><w:lang w:val=\"en-US\"/></w:rPr></w:rPrDefault>\
    <w:pPrDefault><w:pPr><w:spacing w:after=\"80\" w:line=\"252\" w:lineRule=\"auto\"/></w:pPr></w:pPrDefault></w:docDefaults>\
    <w:style w:type=\"paragraph\" w:default=\"1\" w:styleId=\"Normal\"><w:name w:val=\"Normal\"/></w:style>\
    <w:style w:type=\"paragraph\" w:styleId=\"Title\"><w:name w:val=\"Title\"/><w:basedOn w:val=\"Normal\"/>\
    <w:pPr><w:keepNext/><w:spacing w:after=\"120\"/></w:pPr><w:rPr><w:b/><w:sz w:val=\"28\"/></w:rPr></w:style>\
    <w:style w:type=\"paragraph\" w:styleId=\"Heading1\"><w:name w:val=\"heading 1\"/><w:basedOn w:val=\"Normal\"/><w:next w:val=\"Normal\"/>\
    <w:pPr><w:keepNext/><w:spacing w:before=\"160\" w:after=\"60\"/><w:outlineLvl w:val=\"0\"/></w:pPr><w:rPr><w:b/><w:sz w:val=\"22\"/></w:rPr></w:style>\
    <w:style w:type=\"paragraph\" w:styleId=\"Quote\"><w:name w:val=\"Quote\"/><w:basedOn w:val=\"Normal\"/>\
    <w:pPr><w:ind w:left=\"360\" w:right=\"360\"/></w:pPr></w:style>\
    <w:style w:type=\"paragraph\" w:styleId=\"ListBullet\"><w:name w:val=\"List Bullet\"/><w:basedOn w:val=\"Normal\"/>\
    <w:pPr><w:spacing w:after=\"40\"/></w:pPr></w:style>\
    <w:style w:type=\"paragraph\" w:styleId=\"TableText\"><w:name w:val=\"Table Text\"/><w:basedOn w:val=\"Normal\"/>\
    <w:pPr><w:spacing w:after=\"0\" w:line=\"240\" w:lineRule=\"auto\"/></w:pPr><w:rPr><w:sz w:val=\"18\"/></w:rPr></w:style>\
    <w:style w:type=\"paragraph\" w:styleId=\"TableHead\"><w:name w:val=\"Table Head\"/><w:basedOn w:val=\"TableText\"/>\
    <w:pPr><w:keepNext/></w:pPr><w:rPr><w:b/></w:rPr></w:style>\
    <w:style w:type=\"paragraph\" w:styleId=\"Footer\"><w:name w:val=\"footer\"/><w:basedOn w:val=\"Normal\"/>\
    <w:pPr><w:spacing w:after=\"0\"/></w:pPr><w:rPr><w:sz w:val=\"16\"/></w:rPr></w:style>\
    <w:style w:type=\"table\" w:styleId=\"Ruled\"><w:name w:val=\"Ruled\"/><w:tblPr><w:tblBorders>\
    <w:top w:val=\"single\" w:sz=\"6\" w:color=\"000000\"/><w:bottom w:val=\"single\" w:sz=\"6\" w:color=\"000000\"/>\
    <w:insideH w:val=\"single\" w:sz=\"4\" w:color=\"999999\"/></w:tblBorders>\
    <w:tblCellMar><w:top w:w=\"40\" w:type=\"dxa\"/><w:left w:w=\"0\" w:type=\"dxa\"/>\
    <w:bottom w:w=\"40\" w:type=\"dxa\"/><w:right w:w=\"120\" w:type=\"dxa\"/></w:tblCellMar></w:tblPr></w:style>\
    </w:styles>";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::blocks::{bold, plain};

    #[test]
    fn words_stay_words_and_the_same_words_are_the_same_file() {
        let blocks = [
            Block::Title("a < b & \"c\"\u{1b}[0m".to_owned()),
            Block::Para(vec![bold("may"), plain(" sign\u{ffff} ").remove(0)]),
            Block::Table(Rows {
                caption: "t",
                head: vec!["Who", "Answer"],
                widths: vec![40, 60],
                rows: vec![vec![plain("x"), plain("y")]],
            }),
        ];
        let document = document(&blocks);
        assert!(
            document.contains("a &lt; b &amp; &quot;c&quot;\u{241b}[0m"),
            "{document}"
        );
        assert!(document.contains("> sign\u{fffd} </w:t>"), "{document}");
        assert!(document.contains("<w:tblHeader/>"), "{document}");
        let first = file("t", &blocks).expect("made");
        assert_eq!(first, file("t", &blocks).expect("made"));
    }
}
