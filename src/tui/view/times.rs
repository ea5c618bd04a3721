//! Times as people read them.

use chrono::{DateTime, FixedOffset, Utc};

/// The time of day, with the date where it is not today's.
pub fn at(time: DateTime<Utc>, now: DateTime<Utc>, zone: FixedOffset) -> String {
    let (time, now) = (time.with_timezone(&zone), now.with_timezone(&zone));
    let form = if time.date_naive() == now.date_naive() {
        "%H:%M"
    } else {
        "%d %b %H:%M"
    };
    time.format(form).to_string()
}

/// How long ago.
pub fn ago(time: DateTime<Utc>, now: DateTime<Utc>) -> String {
    let minutes = (now - time).num_minutes().max(0);
    match minutes {
        0 => "just now".to_owned(),
        1..60 => format!("{minutes} min ago"),
        60..2_880 => format!("{} h ago", minutes / 60),
        _ => format!("{} days ago", minutes / 1_440),
    }
}
