//! The step engine: a job's events in, where it stands out.
//!
//! [`event`] says what can happen, [`job`] what it adds up to, [`fold`] how, [`standing`] what is
//! next, [`clock`] how long its wait lasts, [`facts`] whether what is known of the vehicle serves a flow, [`judge`] what the readings
//! come to, [`again`] which judgements a change touches, [`action`] which events a wish of the
//! technician makes ([`partial`]: bit by bit; [`carry`]: what may be taken over), `codes_left` which codes no test is for, [`covered`] which
//! place was covered as a value was read, [`found`] what showed and was not repaired, [`fitted`] what the set-ups left on the car, [`saving`] whether what the control unit knows was saved, [`practised`] what only practice jobs record, [`skip`]
//! where a skipped step leads, [`elsewhere`] what going to another step asks for, [`weighed`] what the evidence said beside it, [`words`] how an event
//! reads, `retested` what of a test was walked again, and [`replay`] whether a record agrees with what the engine computes. Pure: it reads no
//! clock, no file and no random source. Whoever drives it stamps the events.

pub mod act;
pub mod action;
pub mod again;
pub mod carry;
pub mod clock;
mod codes_left;
pub mod covered;
pub mod elsewhere;
pub mod event;
pub mod facts;
pub mod fitted;
pub mod fold;
pub mod found;
pub mod hold;
pub mod job;
pub mod judge;
pub mod partial;
pub mod practised;
pub mod prompt;
pub mod refusal;
pub mod replay;
mod retested;
mod ruled_out;
pub mod saving;
pub mod shown;
pub mod skip;
pub mod standing;
pub mod waits;
pub mod weighed;
pub mod words;
