//! A table as spreadsheets write it: RFC 4180, and what they make of it (a mark at the beginning, semicolons, tabs).

/// One row: the line of the file it begins on, and its cells, trimmed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// The first line is 1.
    pub line: usize,
    /// As many as there are; a row may be short.
    pub cells: Vec<String>,
}

/// The rows that hold anything, the head line among them. The separator is what the head line holds most of.
pub fn rows(text: &str) -> Result<Vec<Row>, String> {
    // Spreadsheets begin UTF-8 with a mark.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let head = text.lines().next().unwrap_or_default();
    let count = |separator: &char| head.matches(*separator).count();
    let separator = [';', '\t', ',']
        .into_iter()
        .max_by_key(count)
        .unwrap_or(',');
    let (mut rows, mut line) = (Vec::new(), 1);
    let mut row = Row {
        line,
        cells: Vec::new(),
    };
    let (mut cell, mut quoted) = (String::new(), false);
    let mut characters = text.chars().peekable();
    while let Some(c) = characters.next() {
        line += usize::from(c == '\n');
        match c {
            '"' if quoted && characters.peek() == Some(&'"') => cell.extend(characters.next()),
            '"' if quoted => quoted = false,
            '"' if cell.trim().is_empty() => {
                cell.clear();
                quoted = true;
            }
            _ if quoted => cell.push(c),
            '\r' => {}
            '\n' => {
                row.cells.push(cell.trim().to_owned());
                cell.clear();
                rows.push(std::mem::replace(
                    &mut row,
                    Row {
                        line,
                        cells: Vec::new(),
                    },
                ));
            }
            _ if c == separator => {
                row.cells.push(cell.trim().to_owned());
                cell.clear();
            }
            _ => cell.push(c),
        }
    }
    if quoted {
        return Err(format!(
            "line {}: a quote is opened and never closed",
            row.line
        ));
    }
    row.cells.push(cell.trim().to_owned());
    rows.push(row);
    rows.retain(|row| row.cells.iter().any(|cell| !cell.is_empty()));
    Ok(rows)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<Vec<String>> {
        rows(text)
            .unwrap()
            .into_iter()
            .map(|row| row.cells)
            .collect()
    }

    /// The rules of RFC 4180, section 2, by number, and what spreadsheets do beside them.
    #[test]
    fn tables_are_read_as_they_are_written() {
        let plain = vec![vec!["label", "wh"], vec!["P1", "98"]];
        for text in [
            "label,wh\r\nP1,98\r\n",         // 1
            "label,wh\nP1,98",               // 2, and bare line feeds
            "label , wh\n\n P1, 98 \n,\n",   // spaces and empty rows
            "\"label\",\"wh\"\n\"P1\",98\n", // 5
            "\u{feff}label;wh\nP1;98\n",     // a mark and semicolons
            "label\twh\nP1\t98\n",           // tabs
        ] {
            assert_eq!(cells(text), plain, "{text:?}");
        }
        // 6 and 7: separators, line ends and quotes inside quotes.
        assert_eq!(
            cells("label,wh\n\"P1, \"\"old\"\"\nbox\",98"),
            [vec!["label", "wh"], vec!["P1, \"old\"\nbox", "98"]]
        );
        let second = rows("label\n\"a\nb\"\nc\n").unwrap();
        assert_eq!(
            second.iter().map(|row| row.line).collect::<Vec<_>>(),
            [1, 2, 4]
        );
        assert!(
            rows("label\nP1\n\"P2\nP3\n")
                .unwrap_err()
                .starts_with("line 3")
        );
        assert_eq!(rows(""), Ok(Vec::new()));
    }
}
