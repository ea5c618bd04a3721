//! The four demo jobs, told as stories.
mod jobs;
mod support;

#[test]
fn show() {
    for story in jobs::all() {
        println!("----");
        for line in story.trail() {
            println!("{line}");
        }
        for e in &story.events {
            if let ruleout::engine::event::What::OutcomeTaken(t) = &e.what {
                if !t.worked.is_empty() {
                    println!("   [{}]", t.step);
                    for (k, v) in &t.worked {
                        println!("      {k} = {}", v.shown);
                    }
                }
            }
        }
        println!("misfits {:?}", story.job.misfits);
    }
}
