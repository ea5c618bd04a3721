//! Words and numbers that say whether fuelling is in closed loop.

/// The last words about the loop and what they said: they seldom change from row to row.
#[derive(Default)]
pub(super) struct LoopWords {
    words: Vec<u8>,
    said: Option<bool>,
}

impl LoopWords {
    pub(super) fn read(&mut self, cell: &[u8], yes_is_closed: bool) -> Option<bool> {
        if self.words != cell {
            self.words.clear();
            self.words.extend_from_slice(cell);
            self.said = closed(cell, yes_is_closed);
        }
        self.said
    }
}

/// Whether a cell says that fuelling is in closed loop. Numbers are those of parameter 03 of SAE
/// J1979 (from memory): 2 and 16 closed, 1, 4 and 8 open.
fn closed(cell: &[u8], yes_is_closed: bool) -> Option<bool> {
    let text = String::from_utf8_lossy(cell.trim_ascii()).to_lowercase();
    let yes = matches!(text.as_str(), "1" | "yes" | "on" | "true");
    let no = matches!(text.as_str(), "0" | "no" | "off" | "false");
    if yes_is_closed && (yes || no) {
        return Some(yes);
    }
    let says = |word: &str, short: &str| {
        text.contains(word) || text == short || text.starts_with(&format!("{short}-"))
    };
    match (says("closed", "cl"), says("open", "ol"), text.as_str()) {
        (true, false, _) | (_, _, "2" | "16") => Some(true),
        (false, true, _) | (_, _, "1" | "4" | "8") => Some(false),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_and_open_loop_are_told_apart() {
        let read = |text: &str| closed(text.as_bytes(), false);
        for text in ["closed", "CL", "Closed loop", "2", "cl-fault", "16"] {
            assert_eq!(read(text), Some(true), "{text}");
        }
        for text in ["open", "OL", "Open (cold)", "1", "4", "8"] {
            assert_eq!(read(text), Some(false), "{text}");
        }
        for text in ["", "-", "0", "open or closed", "idle", "cloud"] {
            assert_eq!(read(text), None, "{text}");
        }
        assert_eq!(closed(b"1", true), Some(true));
        assert_eq!(closed(b"Off", true), Some(false));
    }
}
