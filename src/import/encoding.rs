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
    /// UTF-8, or what is much like it.
    #[default]
    Utf8,
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
}

impl fmt::Display for Encoding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Utf8 => "UTF-8",
            Self::Utf16Le | Self::Utf16Be => "UTF-16",
        })
    }
}

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
        (encoding != Encoding::Utf8).then_some(Self {
            low_first: encoding == Encoding::Utf16Le,
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
    }
}
