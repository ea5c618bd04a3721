fn main() {
    for p in std::env::args().skip(1) {
        let t = std::fs::read_to_string(&p).unwrap();
        let l = ruleout::flow::load::load(&t);
        for f in &l.findings {
            println!(
                "{p}:{}:{} {} {} | {}",
                f.place.line, f.place.column, f.code, f.message, f.help
            );
        }
        println!("{p}: {}", l.flow.is_some());
    }
}
