//! Tests of the screens, from typed keys to what is shown.
