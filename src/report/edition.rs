//! Whom a page is for.

/// Whom a page is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Edition {
    /// The car's owner: a page or two in plain words.
    #[default]
    Customer,
    /// The workshop: every reading, event and reason.
    Workshop,
    /// Whoever orders and fits the parts.
    Parts,
    /// A label for the key or the windscreen.
    Label,
}

impl Edition {
    /// The word on the command line and in the JSON form.
    pub fn word(self) -> &'static str {
        match self {
            Self::Customer => "customer",
            Self::Workshop => "workshop",
            Self::Parts => "parts",
            Self::Label => "label",
        }
    }

    /// What a signature under it says; nothing where that is plain.
    pub fn signed_for(self) -> Option<&'static str> {
        match self {
            Self::Customer => Some(
                "Signed: this page was handed over with the car and talked through. It is not a bill.",
            ),
            Self::Workshop | Self::Parts | Self::Label => None,
        }
    }

    /// What the page calls itself.
    pub fn name(self) -> &'static str {
        match self {
            Self::Customer => "Customer edition",
            Self::Workshop => "Workshop edition",
            Self::Parts => "For whoever orders and fits the parts",
            Self::Label => "",
        }
    }
}
