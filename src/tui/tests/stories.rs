//! Stories: keys typed, screens read, the record looked at.

use super::bench::Bench;
use crate::engine::event::What;

#[test]
fn a_look() {
    let mut b = Bench::new();
    println!("{}", b.screen());
    b.keys("n");
    println!("{}", b.screen());
    b.keys("<Esc>");
    b.new_job();
    println!("{}", b.screen());
    b.keys("<Enter>");
    println!("{}", b.screen());
    b.keys("<F6>1<Enter>");
    println!("{}", b.screen());
    b.keys("1<Enter>").typed("140").keys("<Enter>");
    println!("{}", b.screen());
    b.keys("<Enter>");
    println!("{}", b.screen());
    b.typed("18").keys("<Enter>");
    println!("{}", b.screen());
    b.keys("<Enter>");
    println!("{}", b.screen());
    b.keys("<Enter>");
    println!("{}", b.screen());
    b.keys("<Enter>");
    println!("{}", b.screen());
    b.wait(20).typed("40").keys("<Enter>");
    println!("{}", b.screen());
    b.wait(50).typed("38").keys("<Enter>");
    println!("{}", b.screen());
    b.keys("11");
    println!("{}", b.screen());
    b.keys("<Enter>");
    println!("{}", b.screen());
    b.typed("50 = 2").keys("<Enter>");
    println!("{}", b.screen());
    b.keys("<Back>").keys("<C-u>").keys("<Enter>");
    b.keys("<Enter>");
    println!("{}", b.screen());
    b.keys("w");
    println!("{}", b.screen());
    b.keys("<Esc>m");
    println!("{}", b.screen());
    b.keys("<Esc>?");
    println!("{}", b.screen());
    b.keys("<Esc><Enter>");
    println!("{}", b.screen());
    b.keys("<F5>");
    println!("{}", b.screen());
}
