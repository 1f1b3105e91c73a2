//! Rows of words in columns.

/// Lines the columns of `rows` up, two spaces apart, behind `indent`.
pub(super) fn table<const N: usize>(indent: &str, rows: &[[String; N]]) -> String {
    let width = |column: usize| {
        let widths = rows.iter().map(|row| row[column].chars().count());
        widths.max().unwrap_or(0)
    };
    let widths: [usize; N] = std::array::from_fn(width);
    let line = |row: &[String; N]| {
        let cells = row.iter().zip(widths);
        let text: String = cells.map(|(cell, w)| format!("{cell:w$}  ")).collect();
        format!("{indent}{}\n", text.trim_end())
    };
    rows.iter().map(line).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up_by_characters() {
        let row = |a: &str, b: &str, c: &str| [a.to_owned(), b.to_owned(), c.to_owned()];
        let text = table(" ", &[row("a", "1 µs", "x"), row("bcd", "22 kΩ", "")]);
        assert_eq!(text, " a    1 µs   x\n bcd  22 kΩ\n");
        assert_eq!(table::<2>("", &[]), "");
    }
}
