//! What a file is that is no text in UTF-8, and how to make it one.

use std::fmt;

/// Why bytes are no text in UTF-8.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoText {
    /// A document or picture of some program, in an owner's words.
    Document(&'static str),
    /// Text in UTF-16.
    Utf16,
    /// Bytes that nobody would take for text.
    Binary,
    /// Text, but for letters in another encoding: where the first of them stands (from 1, the column in
    /// characters), and what it is in Latin-1.
    Letter {
        /// Its line.
        line: usize,
        /// Its column.
        column: usize,
        /// The bytes before it.
        start: usize,
        /// What it would be.
        letter: Option<char>,
    },
}

impl NoText {
    /// What it is, without its place.
    pub fn what(&self) -> String {
        match self {
            Self::Document(what) => format!("this is {what}, not plain text"),
            Self::Utf16 => "this is text in UTF-16, not in UTF-8".to_owned(),
            Self::Binary => "this is no text but the data of some program".to_owned(),
            Self::Letter { letter, .. } => {
                let said = letter.map(|letter| format!(" (in Latin-1 here stands `{letter}`)"));
                let said = said.unwrap_or_default();
                format!("from here on this is not text in UTF-8{said}")
            }
        }
    }

    /// How to make a text of it.
    pub fn help(&self) -> &'static str {
        match self {
            Self::Document(_) => {
                "open it in the program that it comes from and save it as plain text in UTF-8"
            }
            Self::Utf16 | Self::Letter { .. } => "save it as UTF-8 in the editor",
            Self::Binary => "a flow is written in a text editor and saved as plain text in UTF-8",
        }
    }
}

impl fmt::Display for NoText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Self::Letter { line, column, .. } = self {
            write!(f, "line {line}, column {column}: ")?;
        }
        write!(f, "{}; {}", self.what(), self.help())
    }
}

/// What the first bytes of documents are, and what to call them. From the formats' own descriptions, from memory.
const DOCUMENTS: [(&[u8], &str); 7] = [
    (
        b"\xd0\xcf\x11\xe0",
        "a document of an older word processor or spreadsheet",
    ),
    (b"{\\rtf", "a document of a word processor (rich text)"),
    (b"%PDF-", "a PDF"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
    (b"\x1f\x8b", "a compressed file"),
];

/// Why these bytes are no text in UTF-8; nothing where they are.
pub fn why(bytes: &[u8]) -> Option<NoText> {
    let known = DOCUMENTS.iter().find(|(head, _)| bytes.starts_with(head));
    if let Some((_, what)) = known {
        return Some(NoText::Document(what));
    }
    if bytes.starts_with(b"PK\x03\x04") {
        return Some(NoText::Document(packed(bytes)));
    }
    if is_utf16(bytes) {
        return Some(NoText::Utf16);
    }
    let error = std::str::from_utf8(bytes).err();
    // No editor puts a zero byte into a text.
    if bytes.contains(&0) {
        return Some(NoText::Binary);
    }
    let start = error?.valid_up_to();
    let (before, rest) = bytes.split_at(start);
    let before = String::from_utf8_lossy(before);
    let in_line = before.rsplit('\n').next().unwrap_or_default();
    // Below 0xa0 Latin-1 has no letters.
    let letter = rest.first().filter(|byte| **byte >= 0xa0);
    Some(NoText::Letter {
        line: before.matches('\n').count() + 1,
        column: in_line.trim_start_matches('\u{feff}').chars().count() + 1,
        start,
        letter: letter.map(|byte| char::from(*byte)),
    })
}

/// What is in a packed document, by the names of the parts within it.
fn packed(bytes: &[u8]) -> &'static str {
    let holds = |part: &[u8]| bytes.windows(part.len()).any(|window| window == part);
    if holds(b"word/") || holds(b"opendocument.text") {
        "a document of a word processor"
    } else if holds(b"xl/") || holds(b"opendocument.spreadsheet") {
        "a spreadsheet"
    } else {
        "a packed file (zip)"
    }
}

/// By its byte order mark, else by the zero bytes that UTF-16 has in every second place of plain text.
fn is_utf16(bytes: &[u8]) -> bool {
    match bytes {
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => true,
        [a, 0, b, 0, ..] | [0, a, 0, b, ..] => *a != 0 && *b != 0,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn documents_and_pictures_are_called_what_they_are() {
        let said = |bytes: &[u8]| why(bytes).map(|why| why.to_string()).unwrap_or_default();
        let word = b"PK\x03\x04\x14\x00\x06\x00 [Content_Types].xml word/document.xml";
        assert!(said(word).starts_with("this is a document of a word processor, not plain text"));
        assert!(said(b"PK\x03\x04\x14 xl/workbook.xml").contains("a spreadsheet"));
        assert!(said(b"\x89PNG\r\n\x1a\n\0").contains("a picture (PNG)"));
        assert!(said(b"{\\rtf1\\ansi flow: one}").contains("rich text"));
        assert!(said(b"\x7fELF\x02\x01\0\0").contains("the data of some program"));
    }

    #[test]
    fn text_in_utf_16_is_told_with_its_mark_and_without() {
        for bytes in [
            &b"\xff\xfef\0l\0"[..],
            b"\xfe\xff\0f\0l",
            b"f\0l\0o\0",
            b"\0f\0l\0o",
        ] {
            assert_eq!(why(bytes), Some(NoText::Utf16), "{bytes:?}");
        }
    }

    #[test]
    fn the_first_letter_that_is_none_is_told_with_its_line_and_column() {
        let bytes = "flow: one\ntitle: Gr\u{f6}\u{df}e \u{20ac} Ger".as_bytes();
        assert_eq!(why(bytes), None);
        let bytes = [bytes, b"\xe4t\n"].concat();
        let at = NoText::Letter {
            line: 2,
            column: 19,
            start: bytes.len() - 3,
            letter: Some('\u{e4}'),
        };
        assert_eq!(why(&bytes), Some(at));
        let quote = why(b"do: \x93Look\x94").map(|why| why.to_string());
        let said = "line 1, column 5: from here on this is not text in UTF-8; save it as UTF-8 in the editor";
        assert_eq!(quote.as_deref(), Some(said));
    }
}
