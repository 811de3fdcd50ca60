//! How the cells of a template look: calm, and nothing told by colour alone.

use rust_xlsxwriter::{Color, Format, FormatAlign, FormatBorder};

use crate::columns::Need;

/// Of titles and of what is required; white on it has more than 7:1.
pub(super) const DEEP: Color = Color::RGB(0x1F_5A4C);
/// Of what is required in some cases.
const PALE: Color = Color::RGB(0xD5_E6E0);
/// Of what is optional.
const QUIET: Color = Color::RGB(0xF2_F4F3);
/// Of lines between rows.
const LINE: Color = Color::RGB(0xC9_CFCB);
/// Of text.
const INK: Color = Color::RGB(0x1D_2421);
/// Of what is secondary; more than 4.5:1 on white and on the grounds above.
const FAINT: Color = Color::RGB(0x4F_5954);

/// A header cell, the name in it, and the word under the name.
pub(super) struct Head {
    pub(super) cell: Format,
    pub(super) name: Format,
    pub(super) word: Format,
}

pub(super) fn head(need: &Need) -> Head {
    let (ground, ink, faint) = match need {
        Need::Always => (DEEP, Color::White, Color::White),
        Need::OneOf(_) | Need::When(_) | Need::Within(_) => (PALE, INK, FAINT),
        Need::Never => (QUIET, INK, FAINT),
    };
    Head {
        cell: Format::new()
            .set_background_color(ground)
            .set_font_color(ink)
            .set_bold()
            .set_text_wrap()
            .set_align(FormatAlign::Top)
            .set_border_bottom(FormatBorder::Thin)
            .set_border_right(FormatBorder::Thin)
            .set_border_color(Color::White),
        name: Format::new().set_bold().set_font_color(ink).set_font_size(11),
        word: Format::new().set_font_color(faint).set_font_size(8.5),
    }
}

/// Cells that keep what is typed, as it was typed.
pub(super) fn text() -> Format {
    Format::new().set_num_format("@").set_align(FormatAlign::Top)
}

/// Cells filled beforehand.
pub(super) fn given() -> Format {
    text().set_font_color(FAINT)
}

pub(super) fn number() -> Format {
    Format::new().set_align(FormatAlign::Top)
}

pub(super) fn title() -> Format {
    Format::new().set_bold().set_font_size(15).set_font_color(DEEP)
}

pub(super) fn lead() -> Format {
    Format::new().set_font_color(FAINT).set_text_wrap().set_align(FormatAlign::Top)
}

pub(super) fn table_head() -> Format {
    Format::new().set_bold().set_font_color(FAINT).set_border_bottom(FormatBorder::Medium)
}

pub(super) fn table_cell() -> Format {
    Format::new()
        .set_text_wrap()
        .set_align(FormatAlign::Top)
        .set_border_bottom(FormatBorder::Thin)
        .set_border_color(LINE)
}

pub(super) fn table_name() -> Format {
    table_cell().set_bold()
}
