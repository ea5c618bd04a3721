//! Whose fact a fact is. Flows share facts by their ids, so that a job asks for each once.

/// Facts that belong to the workshop and not to the car in it.
const OF_THE_WORKSHOP: [&str; 1] = ["altitude"];

/// Whether a fact is the workshop's.
pub fn is_of_workshop(id: &str) -> bool {
    OF_THE_WORKSHOP.contains(&id)
}

/// What a fact is about, as a heading says it.
pub fn about(id: &str) -> &'static str {
    if is_of_workshop(id) {
        "about the workshop"
    } else {
        "about the vehicle"
    }
}
