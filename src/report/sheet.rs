//! The sheet that a page is printed on: its size, and what runs along its head and foot.

use super::edition::Edition;
use super::text::line;

/// A sheet of paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Sheet {
    /// Whatever lies in the printer.
    #[default]
    Printer,
    /// ISO 216: 210 by 297 mm.
    A4,
    /// 8.5 by 11 in.
    Letter,
}

impl Sheet {
    /// Rules for the sheet. A label has its own size, whatever the printer holds.
    pub(super) fn rules(self, edition: Edition, title: &str, plate: &str) -> String {
        if edition == Edition::Label {
            return "@page { size: 62mm 100mm; margin: 3mm; }\n".to_owned();
        }
        let size = match self {
            Self::Printer => "",
            Self::A4 => "size: A4; ",
            Self::Letter => "size: letter; ",
        };
        let plate = if plate.trim().is_empty() {
            String::new()
        } else {
            format!("{plate} \u{b7} ")
        };
        // The customer's page is to be one sheet, printed on both sides.
        let margin = match edition {
            Edition::Customer => "10mm 13mm 11mm",
            _ => "15mm 14mm 16mm",
        };
        let head = quoted(&format!("{plate}{title}"));
        format!(
            "@page {{ {size}margin: {margin}; \
             @top-left {{ content: {head}; {SMALL} }} \
             @bottom-right {{ content: \"page \" counter(page) \" of \" counter(pages); {SMALL} }} }}\n\
             @page :first {{ @top-left {{ content: none; }} }}\n"
        )
    }
}

const SMALL: &str = "font-size: 8pt; color: #333a41;";

/// A text as a CSS string: everything but plain letters and digits is written as its number, so
/// that no text can end the string or the style.
fn quoted(words: &str) -> String {
    const MOST: usize = 60;
    let mut out = "\"".to_owned();
    for c in line(words).chars().take(MOST) {
        if c.is_ascii_alphanumeric() || c == ' ' {
            out.push(c);
        } else {
            put!(out, "\\{:x} ", u32::from(c));
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plate_cannot_end_its_string() {
        let rules = Sheet::A4.rules(Edition::Customer, "Test report", "\"} </style>\u{202e}*/");
        assert!(
            !rules.contains('<') && !rules.contains('\u{202e}'),
            "{rules}"
        );
        assert!(rules.contains("\"\\22 \\7d  \\3c \\2f style"), "{rules}");
    }

    #[test]
    fn a_label_has_its_own_size() {
        assert!(
            Sheet::Letter
                .rules(Edition::Label, "", "")
                .contains("62mm 100mm")
        );
        assert!(
            Sheet::Letter
                .rules(Edition::Parts, "", "")
                .contains("size: letter")
        );
        let printer = Sheet::Printer.rules(Edition::Parts, "", "");
        assert!(printer.starts_with("@page { margin:"), "{printer}");
    }
}
