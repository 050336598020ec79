//! The screens ask nobody but the hub, and run under a content security policy without `unsafe-inline`.

use crate::finding::Finding;

/// The one address a screen's file may hold: it names SVG and is never fetched.
const SVG_NAMESPACE: &str = "http://www.w3.org/2000/svg";

/// Outside addresses, inline scripts, inline styles and handlers in attributes.
pub(crate) fn check(files: &[(String, String)]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (path, text) in files {
        for (index, line) in text.lines().enumerate() {
            if names_outside(line) {
                let advice = "an outside address: the hub never needs the internet, so put the file beside this one";
                findings.push(Finding::new(path, index + 1, advice));
            }
        }
        if path
            .rsplit('.')
            .next()
            .is_some_and(|ending| ["html", "svg"].contains(&ending))
        {
            for (line, what) in inline(text) {
                findings.push(Finding::new(
                    path,
                    line,
                    format!("{what}: move it to a file of its own"),
                ));
            }
        }
    }
    findings
}

/// An address of a host, with its scheme or (in an attribute or `url()`) without.
fn names_outside(line: &str) -> bool {
    let line = line.replace(SVG_NAMESPACE, "").to_lowercase();
    let bare = [
        "src=\"//",
        "href=\"//",
        "src='//",
        "href='//",
        "url(//",
        "url(\"//",
        "from \"//",
        "import(\"//",
    ];
    ["http://", "https://"]
        .iter()
        .any(|scheme| line.contains(scheme))
        || bare.iter().any(|start| line.contains(start))
}

/// Line and name of everything inline in a page or picture.
fn inline(text: &str) -> Vec<(usize, String)> {
    let lower = text.to_lowercase();
    let line_at = |at: usize| lower[..at].matches('\n').count() + 1;
    let mut found = Vec::new();
    for (start, _) in lower.match_indices('<') {
        let rest = &lower[start + 1..];
        let Some(end) = rest.find('>') else { continue };
        let tag = &rest[..end];
        let name = tag.split([' ', '\n', '\t', '/']).next().unwrap_or("");
        let body = rest[end + 1..].split("</script").next().unwrap_or("");
        match name {
            "style" => found.push((line_at(start), "an inline style sheet".to_owned())),
            "script" if !tag.contains("src=") || !body.trim().is_empty() => {
                found.push((line_at(start), "an inline script".to_owned()));
            }
            _ => {}
        }
        for attribute in tag
            .split([' ', '\n', '\t'])
            .filter_map(|part| part.split_once('='))
            .map(|(name, _)| name)
        {
            // Every handler's name begins so, and no other attribute's does.
            if attribute == "style" || (attribute.starts_with("on") && attribute.len() > 3) {
                found.push((line_at(start), format!("an inline {attribute} attribute")));
            }
        }
        if tag.contains("javascript:") {
            found.push((line_at(start), "a script as an address".to_owned()));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(path: &str, text: &str) -> Vec<usize> {
        check(&[(path.to_owned(), text.to_owned())])
            .iter()
            .map(|finding| finding.line)
            .collect()
    }

    #[test]
    fn an_outside_address_is_found() {
        for text in [
            "// a\nfetch(\"https://cdn.example/a.js\")",
            "\n@import url(//cdn.example/a.css);",
            "\n<img src=\"//a.example/b\">",
        ] {
            assert_eq!(lines("server/web/a.js", text), [2], "{text}");
        }
        assert_eq!(
            lines(
                "server/web/a.svg",
                "<svg xmlns=\"http://www.w3.org/2000/svg\"></svg>"
            ),
            [0; 0]
        );
        assert_eq!(
            lines(
                "server/web/a.js",
                "const a = location.protocol === \"https:\" ? \"wss:\" : \"ws:\"; // plain"
            ),
            [0; 0]
        );
    }

    #[test]
    fn what_is_inline_is_found() {
        for text in [
            "<p>\n<script>go()</script>",
            "<p>\n<script src=\"a.js\">go()</script>",
            "<p>\n<STYLE>p {}</STYLE>",
            "<p>\n<p class=\"a\" style=\"color: red\">",
            "<p>\n<button\n onclick=\"go()\">",
            "<p>\n<a href=\"javascript:go()\">",
        ] {
            assert_eq!(lines("server/web/a.html", text), [2], "{text}");
        }
        let clean = "<script type=\"module\" src=\"a.js\"></script>\n<link rel=\"stylesheet\" href=\"a.css\"><ol id=\"one\">1 < 2</ol>";
        assert_eq!(lines("server/web/a.html", clean), [0; 0]);
    }
}
