//! Notices a flow that was added or changed: the flows are embedded in the program.

fn main() {
    println!("cargo::rerun-if-changed=flows");
}
