//! Dependencies point one way: a module knows only those before it in the list below. And the
//! core is pure: it reads no clock, no file, no random source and no terminal.
//!
//! Both are asserted over every path in the syntax tree of every source file, those inside macro
//! calls too, so that a path written out in full in the middle of a function counts like a `use`.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use proc_macro2::{TokenStream, TokenTree};
use syn::visit::Visit;

/// The modules in the order in which data flows through them.
const LAYERS: [&str; 15] = [
    "units", "physics", "flow", "engine", "plant", "rules", "trial", "check", "job", "settings",
    "import", "report", "practice", "tui", "cli",
];

/// The layers that must stay pure.
const PURE: usize = 7;

/// A layer further out that is pure all the same: chance in practice comes from its seed.
const PURE_TOO: [&str; 1] = ["practice"];

/// What a pure layer must not name: the outside world in the standard library and in crates.
const OUTSIDE: [&[&str]; 14] = [
    &["std", "fs"],
    &["std", "io"],
    &["std", "env"],
    &["std", "net"],
    &["std", "time"],
    &["std", "process"],
    &["std", "thread"],
    &["crossterm"],
    &["ratatui"],
    &["rusqlite"],
    &["rand"],
    &["Utc", "now"],
    &["Local", "now"],
    &["Uuid", "now_v7"],
];

/// A file that is no line of the suite is never compiled, and so never fails.
#[test]
fn every_file_of_tests_is_a_line_of_the_suite() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let suite = std::fs::read_to_string(folder.join("suite.rs")).unwrap();
    let named: BTreeSet<String> = suite
        .lines()
        .filter_map(|line| line.strip_prefix("mod ")?.strip_suffix(';'))
        .map(str::to_owned)
        .collect();
    let mut there = BTreeSet::new();
    for entry in std::fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_str().unwrap().to_owned();
        let code = path.extension().is_some_and(|e| e == "rs") || path.join("mod.rs").is_file();
        if code && name != "suite" {
            there.insert(name);
        }
    }
    assert!(there.len() > 20, "{there:?}");
    assert_eq!(
        named, there,
        "the `mod` lines of tests/suite.rs against the files beside it"
    );
}

#[test]
fn no_module_knows_one_that_comes_after_it() {
    let mut wrong = Vec::new();
    let files = sources();
    for (file, module) in &files {
        let Some(own) = layer(&module[0]) else {
            continue;
        };
        for path in paths(file, module) {
            if let Some(other) = path
                .first()
                .filter(|s| *s == "crate")
                .and_then(|_| path.get(1))
                && let Some(rank) = layer(other)
                && rank > own
            {
                wrong.push(format!("{} names {}", file.display(), path.join("::")));
            }
        }
    }
    assert!(
        files.len() > 40,
        "only {} source files were found",
        files.len()
    );
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn the_core_is_pure() {
    let mut wrong = Vec::new();
    for (file, module) in sources() {
        let pure_too = PURE_TOO.contains(&module[0].as_str());
        if !pure_too && layer(&module[0]).is_none_or(|own| own >= PURE) {
            continue;
        }
        for path in paths(&file, &module) {
            let outside = OUTSIDE
                .iter()
                .any(|bad| path.windows(bad.len()).any(|w| w == *bad));
            if outside {
                wrong.push(format!("{} names {}", file.display(), path.join("::")));
            }
        }
    }
    assert_eq!(wrong, Vec::<String>::new());
}

#[test]
fn a_path_is_found_wherever_it_is_written() {
    let text = "use super::super::cli::x; fn f() { let a = crate::tui::b(); \
                println!(\"{}\", crate::job::c()); let d: self::e::F; }";
    let module = ["flow".to_owned(), "load".to_owned(), "steps".to_owned()];
    let found: Vec<String> = paths_in(text, &module)
        .iter()
        .map(|path| path.join("::"))
        .collect();
    for wanted in [
        "crate::flow::cli::x",
        "crate::tui::b",
        "crate::job::c",
        "crate::flow::load::steps::e::F",
    ] {
        assert!(
            found.iter().any(|path| path == wanted),
            "{wanted} is not in {found:?}"
        );
    }
}

fn layer(name: &str) -> Option<usize> {
    LAYERS.iter().position(|layer| *layer == name)
}

/// All source files with their module path.
fn sources() -> Vec<(PathBuf, Vec<String>)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let inside = path.strip_prefix(&root).unwrap().with_extension("");
                let mut module: Vec<String> = inside
                    .iter()
                    .map(|s| s.to_string_lossy().into_owned())
                    .collect();
                if module.len() > 1 && module.last().is_some_and(|last| last == "mod") {
                    module.pop();
                }
                found.push((path, module));
            }
        }
    }
    found
}

fn paths(file: &Path, module: &[String]) -> Vec<Vec<String>> {
    paths_in(&std::fs::read_to_string(file).unwrap(), module)
}

fn paths_in(text: &str, module: &[String]) -> Vec<Vec<String>> {
    let mut all = All {
        module: module.to_vec(),
        found: Vec::new(),
    };
    all.visit_file(&syn::parse_file(text).unwrap());
    all.found
}

/// Gathers every path, with `self` and `super` resolved.
struct All {
    module: Vec<String>,
    found: Vec<Vec<String>>,
}

impl All {
    fn add(&mut self, path: &[String]) {
        let mut from: Vec<String> = std::iter::once("crate".to_owned())
            .chain(self.module.clone())
            .collect();
        let mut rest = path;
        match path.first().map(String::as_str) {
            Some("crate" | "ruleout") => {
                from.truncate(1);
                rest = &path[1..];
            }
            Some("self") => rest = &path[1..],
            Some("super") => {
                while rest.first().is_some_and(|s| s == "super") {
                    from.pop();
                    rest = &rest[1..];
                }
            }
            _ => from.clear(),
        }
        from.extend(rest.iter().cloned());
        self.found.push(from);
    }

    fn tree(&mut self, before: &[String], tree: &syn::UseTree) {
        match tree {
            syn::UseTree::Path(path) => {
                let before = [before, &[path.ident.to_string()]].concat();
                self.tree(&before, &path.tree);
            }
            syn::UseTree::Name(name) => self.add(&[before, &[name.ident.to_string()]].concat()),
            syn::UseTree::Rename(name) => self.add(&[before, &[name.ident.to_string()]].concat()),
            syn::UseTree::Glob(_) => self.add(before),
            syn::UseTree::Group(group) => {
                for tree in &group.items {
                    self.tree(before, tree);
                }
            }
        }
    }

    /// Paths inside a macro call, which has no syntax tree: runs of names joined by `::`.
    fn tokens(&mut self, tokens: TokenStream) {
        let mut path: Vec<String> = Vec::new();
        let mut colons = 0;
        for token in tokens {
            match token {
                TokenTree::Ident(ident) => {
                    if colons != 2 {
                        self.add_run(&mut path);
                    }
                    path.push(ident.to_string());
                    colons = 0;
                }
                TokenTree::Punct(punct) if punct.as_char() == ':' => colons += 1,
                TokenTree::Group(group) => {
                    self.add_run(&mut path);
                    self.tokens(group.stream());
                    colons = 0;
                }
                _ => {
                    self.add_run(&mut path);
                    colons = 0;
                }
            }
        }
        self.add_run(&mut path);
    }

    fn add_run(&mut self, path: &mut Vec<String>) {
        if path.len() > 1 {
            self.add(path);
        }
        path.clear();
    }
}

impl<'ast> Visit<'ast> for All {
    fn visit_item_use(&mut self, item: &'ast syn::ItemUse) {
        self.tree(&[], &item.tree);
    }

    fn visit_path(&mut self, path: &'ast syn::Path) {
        let names: Vec<String> = path.segments.iter().map(|s| s.ident.to_string()).collect();
        self.add(&names);
        syn::visit::visit_path(self, path);
    }

    fn visit_macro(&mut self, call: &'ast syn::Macro) {
        self.tokens(call.tokens.clone());
        syn::visit::visit_macro(self, call);
    }

    // Inline modules are one step deeper, so that `super` there means this file.
    fn visit_item_mod(&mut self, item: &'ast syn::ItemMod) {
        self.module.push(item.ident.to_string());
        syn::visit::visit_item_mod(self, item);
        self.module.pop();
    }
}
