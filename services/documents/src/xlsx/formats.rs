//! How cells look.

use rust_xlsxwriter::{Color, Format, FormatAlign, FormatBorder};

/// Grey of what is secondary; 4.5:1 on white.
const FAINT: Color = Color::RGB(0x5A_655F);
/// Of titles.
const DEEP: Color = Color::RGB(0x1F_5A4C);
/// Of the demonstration's mark.
const ALERT: Color = Color::RGB(0x8A_1C12);

/// The formats of the workbook.
pub(super) struct Formats {
    pub title: Format,
    pub lead: Format,
    pub alert: Format,
    pub label: Format,
    pub head: Format,
    pub head_number: Format,
    pub words: Format,
    pub taxon: Format,
    pub number: Format,
    pub part: Format,
    pub share: Format,
    pub day: Format,
    pub total: Format,
    pub total_words: Format,
    pub line: Format,
}

impl Formats {
    pub(super) fn new() -> Self {
        let top = Format::new().set_align(FormatAlign::Top);
        let words = top.clone().set_text_wrap();
        let number = top.clone().set_num_format("#,##0");
        let head = Format::new()
            .set_bold()
            .set_font_color(FAINT)
            .set_text_wrap()
            .set_align(FormatAlign::Bottom)
            .set_border_bottom(FormatBorder::Medium);
        let total = Format::new().set_bold().set_border_top(FormatBorder::Medium).set_num_format("#,##0");
        Self {
            title: Format::new().set_bold().set_font_size(15).set_font_color(DEEP),
            lead: Format::new().set_font_color(FAINT),
            alert: Format::new().set_bold().set_font_color(ALERT),
            label: top.clone().set_font_color(FAINT),
            head_number: head.clone().set_align(FormatAlign::Right),
            head,
            taxon: words.clone().set_italic(),
            words,
            part: number.clone().set_font_color(FAINT),
            number,
            share: top.clone().set_num_format("0.00%"),
            day: top.set_num_format("yyyy-mm-dd").set_align(FormatAlign::Left).set_indent(1),
            total_words: total.clone(),
            total,
            line: Format::new().set_border_top(FormatBorder::Thin).set_font_color(FAINT),
        }
    }
}
