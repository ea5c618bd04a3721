//! Notices a flow or demo job that was added or changed: they are embedded in the program.

fn main() {
    println!("cargo::rerun-if-changed=flows");
    println!("cargo::rerun-if-changed=demo-jobs");
}
