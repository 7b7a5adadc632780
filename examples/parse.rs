fn main() {
    let path = std::env::args().nth(1).unwrap();
    let text = std::fs::read_to_string(path).unwrap();
    let (tree, problems) = ruleout::syntax::parse_book(Default::default(), &text);
    if std::env::args().nth(2).is_some() { println!("{:#?}", tree); }
    for d in &tree.declarations { println!("{:?} {} {}", d.word, d.name.text, d.fields.len()); }
    for p in problems { println!("{:?} {} {:?}\n   help {:?}", &text[p.span().range()], p.message, p.code, p.help); }
}
