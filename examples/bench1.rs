fn main() {
    let text = std::fs::read_to_string("/tmp/t/big1.rulebook").unwrap();
    let (tree, problems) = ruleout::syntax::parse_book(Default::default(), &text);
    println!("{} {} {}", tree.declarations.len(), problems.len(), text.len());
}
