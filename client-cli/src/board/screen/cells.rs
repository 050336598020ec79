//! Texts in columns: how wide each is, and what is left out where there is no room.

use ratatui::text::Span;

/// A text that takes at most `width` columns; what is cut off leaves an `…`.
pub(super) fn fit(text: &str, width: usize) -> String {
    if Span::raw(text).width() <= width {
        return text.to_owned();
    }
    let mut kept = String::new();
    let mut used = 1;
    for letter in text.chars() {
        used += Span::raw(letter.encode_utf8(&mut [0; 4]).to_owned()).width();
        if used > width {
            break;
        }
        kept.push(letter);
    }
    if width > 0 {
        kept.push('…');
    }
    kept
}

/// A column: its heading, how wide it is, and from which width of the screen on it is shown.
#[derive(Clone, Copy, Debug)]
pub(super) struct Column {
    pub(super) head: &'static str,
    /// Nothing for one that takes what the others leave; the last such on the screen takes it.
    pub(super) width: Option<u16>,
    pub(super) from: u16,
}

/// How wide a column without a width of its own is where a later one takes the rest.
const USUAL: u16 = 14;

/// The columns that are shown on a screen of this width, by their place in `all`, each with its own width.
pub(super) fn layout(all: &[Column], screen: u16) -> Vec<(usize, u16)> {
    let shown = all
        .iter()
        .enumerate()
        .filter(|(_, column)| column.from <= screen);
    let mut widths: Vec<(usize, u16)> = shown
        .map(|(at, column)| (at, column.width.unwrap_or(USUAL)))
        .collect();
    let gaps = widths.len().saturating_sub(1);
    let taken = widths
        .iter()
        .map(|(_, width)| usize::from(*width))
        .sum::<usize>()
        + gaps;
    let last = widths
        .iter_mut()
        .rev()
        .find(|(at, _)| all[*at].width.is_none());
    if let Some((_, width)) = last {
        let rest = (usize::from(screen) + usize::from(USUAL)).saturating_sub(taken);
        *width = u16::try_from(rest).unwrap_or(u16::MAX);
    }
    widths
}

/// The width of callsigns: that of the longest, within reason.
pub(super) fn callsign_width<'a>(names: impl Iterator<Item = &'a str>) -> u16 {
    let longest = names.map(|name| Span::raw(name).width()).max().unwrap_or(0);
    u16::try_from(longest).unwrap_or(u16::MAX).clamp(6, 14)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_cut_with_a_mark_and_by_columns() {
        for (text, width, expected) in [
            ("bow", 3, "bow"),
            ("bow", 2, "b…"),
            ("bow", 1, "…"),
            ("bow", 0, ""),
            ("ü–ö", 3, "ü–ö"),
            // A wide letter takes two columns.
            ("船船", 4, "船船"),
            ("船船", 3, "船…"),
            ("船船", 2, "…"),
        ] {
            assert_eq!(fit(text, width), expected, "{text} in {width}");
        }
    }

    #[test]
    fn columns_come_with_the_width_and_never_exceed_it() {
        let column = |width, from| Column {
            head: "X",
            width,
            from,
        };
        let all = [column(Some(10), 0), column(None, 0), column(Some(20), 60)];
        assert_eq!(layout(&all, 40), [(0, 10), (1, 29)]);
        assert_eq!(layout(&all, 60), [(0, 10), (1, 28), (2, 20)]);
        assert_eq!(layout(&all, 4), [(0, 10), (1, 0)]);
    }
}
