//! The characters of a file: UTF-8, UTF-16, or the single bytes of older programs.
//!
//! Everything behind the source of bytes works on UTF-8. A file in UTF-16, which spreadsheets write
//! as "Unicode text", is turned into it as it is read. What is no UTF-8 is taken for Windows-1252,
//! in which older tools write the degree sign.

use std::borrow::Cow;
use std::fmt;

/// How characters are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Encoding {
    /// UTF-8, of which ASCII is a part.
    #[default]
    Utf8,
    /// Windows-1252, which is taken for any single bytes that are no UTF-8.
    Windows1252,
    /// UTF-16, the low byte first.
    Utf16Le,
    /// UTF-16, the high byte first.
    Utf16Be,
}

impl Encoding {
    /// The encoding of a file that begins like this: by its byte order mark, else by the zero
    /// bytes that UTF-16 has in every second place of plain text.
    pub(super) fn of(head: &[u8]) -> Self {
        match head {
            [0xff, 0xfe, ..] => Self::Utf16Le,
            [0xfe, 0xff, ..] => Self::Utf16Be,
            [a, 0, b, 0, ..] if *a != 0 && *b != 0 => Self::Utf16Le,
            [0, a, 0, b, ..] if *a != 0 && *b != 0 => Self::Utf16Be,
            _ => Self::Utf8,
        }
    }

    /// As told by more of the file: what was taken for UTF-8 may hold bytes that are none. Half a
    /// character at the end of `text` says nothing, since `text` may be cut anywhere.
    pub(super) fn by_more(self, text: &[u8]) -> Self {
        match std::str::from_utf8(text) {
            Err(error) if self == Self::Utf8 && error.error_len().is_some() => Self::Windows1252,
            _ => self,
        }
    }
}

impl fmt::Display for Encoding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Utf8 => "UTF-8",
            Self::Windows1252 => "Windows-1252",
            Self::Utf16Le | Self::Utf16Be => "UTF-16",
        })
    }
}

/// What stands in place of half a character: U+FFFD.
pub(super) const REPLACED: &str = "\u{fffd}";

/// Turns UTF-16 into UTF-8, piece by piece.
#[derive(Debug)]
pub(super) struct Utf16 {
    low_first: bool,
    /// A byte whose other half has not come yet.
    byte: Option<u8>,
    /// The first half of a character of two.
    half: Option<u16>,
}

impl Utf16 {
    /// For an encoding that must be turned.
    pub(super) fn of(encoding: Encoding) -> Option<Self> {
        let low_first = match encoding {
            Encoding::Utf16Le => true,
            Encoding::Utf16Be => false,
            Encoding::Utf8 | Encoding::Windows1252 => return None,
        };
        Some(Self {
            low_first,
            byte: None,
            half: None,
        })
    }

    /// Puts what the bytes say behind a text. A half of a character without its other half
    /// becomes the replacement character.
    pub(super) fn turn(&mut self, bytes: &[u8], text: &mut Vec<u8>) {
        for byte in bytes {
            let Some(first) = self.byte.take() else {
                self.byte = Some(*byte);
                continue;
            };
            let unit = if self.low_first {
                u16::from_le_bytes([first, *byte])
            } else {
                u16::from_be_bytes([first, *byte])
            };
            self.unit(unit, text);
        }
    }

    /// Puts the replacement character behind a text if the bytes ended within a character, so that
    /// the loss shows.
    pub(super) fn finish(&mut self, text: &mut Vec<u8>) {
        let (byte, half) = (self.byte.take(), self.half.take());
        if byte.is_some() || half.is_some() {
            text.extend_from_slice(REPLACED.as_bytes());
        }
    }

    fn unit(&mut self, unit: u16, text: &mut Vec<u8>) {
        let waiting = self.half.take();
        if (0xd800..0xdc00).contains(&unit) {
            self.half = Some(unit);
            // The one before it has no other half.
            if let Some(half) = waiting {
                put(&[half], text);
            }
            return;
        }
        match waiting {
            Some(half) => put(&[half, unit], text),
            None => put(&[unit], text),
        }
    }
}

fn put(units: &[u16], text: &mut Vec<u8>) {
    for read in char::decode_utf16(units.iter().copied()) {
        let c = read.unwrap_or(char::REPLACEMENT_CHARACTER);
        text.extend_from_slice(c.encode_utf8(&mut [0; 4]).as_bytes());
    }
}

/// A cell's text: UTF-8, else Windows-1252.
pub(super) fn words_of(cell: &[u8]) -> Cow<'_, str> {
    match std::str::from_utf8(cell) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => Cow::Owned(cell.iter().copied().map(windows_1252).collect()),
    }
}

/// A character of Windows-1252, which is Latin-1 but for 32 places (the Encoding Standard of the
/// WHATWG, index windows-1252; from memory).
fn windows_1252(byte: u8) -> char {
    const OTHERS: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž',
        '\u{8f}', '\u{90}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}',
        'ž', 'Ÿ',
    ];
    let other = byte.checked_sub(0x80).map(usize::from);
    other
        .and_then(|place| OTHERS.get(place))
        .copied()
        .unwrap_or(char::from(byte))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn bytes_of_older_programs_are_read_as_windows_has_them() {
        assert_eq!(words_of(b"Coolant [\xb0C]"), "Coolant [°C]");
        assert_eq!(words_of(b"bank 1 \x96 short"), "bank 1 – short");
        assert_eq!(words_of("Coolant [°C]".as_bytes()), "Coolant [°C]");
    }

    #[test]
    fn single_bytes_that_are_no_utf_8_are_told() {
        let told = |text: &[u8]| Encoding::Utf8.by_more(text);
        assert_eq!(told(b"Coolant [\xb0C]"), Encoding::Windows1252);
        assert_eq!(told("Coolant [°C]".as_bytes()), Encoding::Utf8);
        assert_eq!(told(&"Coolant [°".as_bytes()[..10]), Encoding::Utf8, "cut");
        assert_eq!(Encoding::Utf16Le.by_more(b"\xb0C"), Encoding::Utf16Le);
    }

    #[test]
    fn an_encoding_is_told_by_its_beginning() {
        assert_eq!(Encoding::of(b"\xff\xfeT\0"), Encoding::Utf16Le);
        assert_eq!(Encoding::of(b"\xfe\xff\0T"), Encoding::Utf16Be);
        assert_eq!(Encoding::of(b"T\0i\0"), Encoding::Utf16Le);
        assert_eq!(Encoding::of(b"\0T\0i"), Encoding::Utf16Be);
        for other in [&b""[..], b"T", b"Time", b"PK\x03\x04\0\0", b"\0\0\0\0"] {
            assert_eq!(Encoding::of(other), Encoding::Utf8);
        }
    }

    proptest! {
        #[test]
        fn utf_16_is_turned_whatever_the_pieces(text in "\\PC{0,40}", low_first: bool, piece in 1_usize..7) {
            let bytes: Vec<u8> = text
                .encode_utf16()
                .flat_map(|unit| if low_first { unit.to_le_bytes() } else { unit.to_be_bytes() })
                .collect();
            let encoding = if low_first { Encoding::Utf16Le } else { Encoding::Utf16Be };
            let mut turned = Vec::new();
            let mut turn = Utf16::of(encoding).expect("UTF-16");
            bytes.chunks(piece).for_each(|piece| turn.turn(piece, &mut turned));
            prop_assert_eq!(String::from_utf8(turned), Ok(text));
        }

        #[test]
        fn any_bytes_become_text(bytes in proptest::collection::vec(any::<u8>(), 0..40)) {
            let mut turned = Vec::new();
            Utf16::of(Encoding::Utf16Le).expect("UTF-16").turn(&bytes, &mut turned);
            prop_assert!(String::from_utf8(turned).is_ok());
        }

        /// However a file is cut, what is left of it is its beginning, and a half is marked.
        #[test]
        fn half_a_character_at_the_end_shows(text in "[a-z,0-9\u{1f600}]{1,20}", cut in 0_usize..80) {
            let bytes: Vec<u8> = text.encode_utf16().flat_map(u16::to_le_bytes).collect();
            let cut = cut % (bytes.len() + 1);
            let mut turned = Vec::new();
            let mut turn = Utf16::of(Encoding::Utf16Le).expect("UTF-16");
            turn.turn(&bytes[..cut], &mut turned);
            turn.finish(&mut turned);
            let turned = String::from_utf8(turned).expect("UTF-8");
            let whole = turned.strip_suffix(REPLACED);
            prop_assert!(text.starts_with(whole.unwrap_or(&turned)));
            let lost = cut - whole.unwrap_or(&turned).encode_utf16().count() * 2;
            prop_assert_eq!(whole.is_some(), lost > 0);
        }
    }
}
