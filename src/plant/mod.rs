//! The simulated car: what every reading of a flow shows on a car with given faults.
//!
//! Two halves. The first knows nothing of flows: a space with openings, holes and valves ([`system`]), a smoke
//! supply of limited flow ([`supply`]), an engine at idle and at 2500 rpm ([`engine`]), a charger ([`charger`]),
//! sensors and gauges ([`instrument`]), all by the formulas of [`crate::physics`] and no others. The second ties a
//! flow to it: what is known of the flow beforehand ([`plan`]), a car with its causes ([`car`]), the readings that
//! a step takes of it ([`drive`], by hand: [`hands`]), and a walk by the flow's own outcomes ([`walk`]).
//!
//! What physics does not give (a colour, a word, a voltage) is drawn from the flow's signatures ([`signature`]),
//! and where neither says anything, it is what a careful technician would enter ([`usual`]).
//!
//! Pure: everything that is left to chance comes from a seed ([`dice`]).

mod answer;
pub mod car;
pub mod charger;
pub mod dice;
pub mod drive;
pub mod engine;
pub mod fault;
mod gear;
pub mod hands;
mod hold;
pub mod instrument;
mod invert;
pub mod plan;
mod reading;
pub mod running;
mod scale;
mod seen;
mod signature;
pub mod spread;
pub mod supply;
pub mod system;
pub(crate) mod usual;
mod vehicle;
pub mod walk;
