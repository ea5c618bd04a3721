//! Pure calculations over SI numbers, each with its source, its range and what it leaves out.
//!
//! This layer owns the formulas (one topic a file), the table of named calculations that the
//! command line and the flows use, and how errors add up. It must not know a flow, a job, a
//! screen, a clock or a file. Text enters it only as the words and quantities of an input.

pub mod atmosphere;
pub mod calculation;
pub mod calculations;
pub mod decay;
pub mod engine_air;
pub mod evaluate;
pub mod fit;
pub mod float_gauge;
pub mod fuel_vapour;
pub mod gas;
pub mod given;
pub mod orifice;
pub mod output;
pub mod parameter;
pub mod raised_idle;
pub mod ripple;
pub mod sensor;
pub mod solenoid;
pub mod supply;
pub mod trims;
pub mod trouble_code;
pub mod uncertainty;
pub mod vin;

pub use calculation::{
    Answer, CalcError, Calculation, Field, Input, Kind, Nuisance, Output, OutputKind, Shifts,
    Worked,
};
pub use calculations::{all, find};
pub use given::{Given, Value};
