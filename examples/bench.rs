fn main() {
    let text = std::fs::read_to_string("/tmp/t/big.rulebook").unwrap();
    for _ in 0..5 {
    let t = std::time::Instant::now();
    let (tree, problems) = ruleout::syntax::parse_book(Default::default(), &text);
    let d = t.elapsed().as_secs_f64();
    println!("{} decl {} problems {:.1} MB/s", tree.declarations.len(), problems.len(), text.len() as f64 / 1e6 / d);
    }
}
