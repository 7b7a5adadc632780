//! Loads a rulebook and prints its problems (for authors until the command line is there).
struct Disk;
impl ruleout::book::Library for Disk {
    fn read(&self, path: &std::path::Path) -> Result<String, String> { std::fs::read_to_string(path).map_err(|e| e.to_string()) }
    fn allows(&self, _: &std::path::Path) -> bool { true }
}
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let loaded = ruleout::book::load(&Disk, std::path::Path::new(&path)).unwrap();
    let (book, problems) = loaded.resolve(std::env::args().nth(2).as_deref());
    for p in &problems { println!("{} `{}`: {} ({}) {}", book.sources.place(p.span()), book.sources.slice(p.span()), p.message, p.code, p.help.clone().unwrap_or_default()); }
    println!("{} faults, {} indications, {} rules, {} cases", book.faults.len(), book.indications.len(), book.rules.len(), book.cases.len());
}
