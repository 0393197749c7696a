fn main() {
    let path = std::env::args().nth(1).unwrap();
    let c = tipring::driver::compile_path(std::path::Path::new(&path), Default::default()).unwrap();
    for d in &c.diagnostics {
        println!("{} {} {} {}", c.files.at(d.at), d.severity.word(), d.code, d.message);
    }
    println!("{:?} scenes {} cells", c.book.scenes.len(), c.table.cells.len());
    if std::env::args().nth(2).is_some() {
        println!("{}", tipring::print::csv::table(&c, false));
    }
}
