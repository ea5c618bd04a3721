//! All tests of the program from outside, in one binary: it links once, and the slow tests of one file
//! run beside those of the others. One file: `cargo test --test suite flow_walks::`.

#![allow(
    clippy::unwrap_used,
    missing_docs,
    reason = "a test stops where something is not as expected"
)]

mod apprentice;
mod calc_command;
mod cast;
mod check_command;
mod checker_never_worked;
mod checker_oracle;
mod commands;
mod demo_jobs;
mod engine_fitted;
mod engine_left_out;
mod engine_partial;
mod engine_properties;
mod engine_ruled_out;
mod engine_stories;
mod evidence_cars;
mod evidence_flow;
mod evidence_optimum;
mod evidence_reference;
mod evidence_saves;
mod evidence_unready;
mod evidence_valid;
mod evidence_way;
mod evidence_worked_case;
mod flow_calculations;
mod flow_cautions;
mod flow_gauges;
mod flow_schema;
mod flow_verdicts;
mod flow_walks;
mod flows_with_mistakes;
mod guide;
mod jobs;
mod killed_in_a_hold;
mod killed_in_a_list;
mod laid;
mod layers;
mod logs;
mod page;
mod physics_coverage;
mod physics_decay;
mod physics_directions;
mod physics_doubts;
mod physics_gear;
mod physics_judgement;
mod physics_limits;
mod physics_lines;
mod physics_properties;
mod physics_ripple;
mod physics_ripple_idle;
mod physics_tables;
mod physics_uncertainty;
mod physics_vehicle;
mod plain_flows;
mod plain_pipe;
mod plant_core;
mod plant_drive;
mod plant_flows;
mod practice_as_done;
mod practice_cars;
mod practice_codes;
mod practice_marks;
mod practice_neck;
mod practice_state;
mod practice_written;
mod practise_command;
mod pty;
mod rank_command;
mod read_command;
mod read_doubts;
mod read_files;
mod recorded_walk;
mod reference_tables;
mod replay_command;
mod report;
mod report_editions;
mod report_print;
mod settings_command;
mod shell_help;
mod store;
mod support;
mod terminal_given_back;
mod trial;
mod two_windows;
mod typist;
mod units_properties;
mod walks;
mod whole_job;
mod worked;
