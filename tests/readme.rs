//! The README's transcripts are what the program prints.

#[test]
fn transcripts_in_the_readme_are_what_the_program_prints() {
    trycmd::TestCases::new().case("README.md");
}
