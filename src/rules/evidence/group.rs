//! Cars with the same causes, and how many of them are drawn.

use serde::{Deserialize, Serialize};

use super::sets::Set;

/// Cars with the same causes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub(super) struct Group {
    pub(super) set: Set,
    /// Nothing on them is big enough for the complaint: what is left behind a repair.
    pub(super) quiet: bool,
}

/// Cars of a group, for so many with each cause alone: sets of several causes are seldom, and there are many of them;
/// quiet ones are asked for only after a repair.
pub(super) fn how_many(group: Group, count: usize) -> usize {
    let count = if group.quiet {
        count.div_ceil(2)
    } else {
        count
    };
    match group.set.len() {
        0 | 1 => count,
        2 => count.div_ceil(2),
        _ => count.div_ceil(8),
    }
}

/// Sets are no keys of an object.
pub(super) mod in_a_list {
    use std::collections::HashMap;

    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    use super::Group;

    pub fn serialize<S: Serializer>(
        places: &HashMap<Group, usize>,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        let mut list: Vec<(&Group, &usize)> = places.iter().collect();
        list.sort_unstable_by_key(|(_, place)| **place);
        list.serialize(to)
    }

    pub fn deserialize<'d, D: Deserializer<'d>>(
        from: D,
    ) -> Result<HashMap<Group, usize>, D::Error> {
        Ok(Vec::<(Group, usize)>::deserialize(from)?
            .into_iter()
            .collect())
    }
}
