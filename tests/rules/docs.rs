//! Every public item and every file says what it is for.

use syn::visit::{self, Visit};
use syn::{Attribute, ImplItem, Item, ItemImpl, TraitItem, Visibility};

use crate::finding::Finding;
use crate::source::Source;

/// Public items without a doc comment, and files without `//!` at their top.
pub(crate) fn check(sources: &[Source]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for source in sources.iter().filter(|source| !is_unit_test(source)) {
        if !documented(&source.syntax.attrs) {
            let advice =
                "the file says nowhere what it is for: begin it with `//!` and one sentence";
            findings.push(Finding::new(&source.path, 1, advice));
        }
        let mut bare = Bare::default();
        bare.visit_file(&source.syntax);
        for (line, name) in bare.found {
            if !source.is_test(line) {
                let advice = format!(
                    "pub {name} has no docs: say what it is, its units and its errors with `///`"
                );
                findings.push(Finding::new(&source.path, line, advice));
            }
        }
    }
    findings
}

/// Unit tests beside the code are named for what they test and need no header.
fn is_unit_test(source: &Source) -> bool {
    source.is_test_file() && !source.path.starts_with("tests/")
}

fn documented(attributes: &[Attribute]) -> bool {
    attributes
        .iter()
        .any(|attribute| attribute.path().is_ident("doc"))
}

/// Collects public items that say nothing.
#[derive(Default)]
struct Bare {
    found: Vec<(usize, String)>,
}

impl Bare {
    fn note(&mut self, visible: bool, attributes: &[Attribute], name: &syn::Ident) {
        if visible && !documented(attributes) {
            self.found
                .push((name.span().start().line, name.to_string()));
        }
    }
}

/// Seen from outside the crate, as far as the item itself says.
fn public(visibility: &Visibility) -> bool {
    matches!(visibility, Visibility::Public(_))
}

impl<'ast> Visit<'ast> for Bare {
    fn visit_item(&mut self, item: &'ast Item) {
        match item {
            Item::Const(item) => self.note(public(&item.vis), &item.attrs, &item.ident),
            Item::Enum(item) => self.note(public(&item.vis), &item.attrs, &item.ident),
            Item::Fn(item) => self.note(public(&item.vis), &item.attrs, &item.sig.ident),
            // The docs of `pub mod name;` lie in its file.
            Item::Mod(item) => self.note(
                public(&item.vis) && item.content.is_some(),
                &item.attrs,
                &item.ident,
            ),
            Item::Static(item) => self.note(public(&item.vis), &item.attrs, &item.ident),
            Item::Struct(item) => self.note(public(&item.vis), &item.attrs, &item.ident),
            Item::Trait(item) => {
                self.note(public(&item.vis), &item.attrs, &item.ident);
                for inner in &item.items {
                    if let TraitItem::Fn(function) = inner {
                        self.note(public(&item.vis), &function.attrs, &function.sig.ident);
                    }
                }
            }
            Item::Type(item) => self.note(public(&item.vis), &item.attrs, &item.ident),
            Item::Union(item) => self.note(public(&item.vis), &item.attrs, &item.ident),
            Item::Macro(item) => {
                let exported = item
                    .attrs
                    .iter()
                    .any(|attribute| attribute.path().is_ident("macro_export"));
                if let Some(name) = &item.ident {
                    self.note(exported, &item.attrs, name);
                }
            }
            _ => {}
        }
        visit::visit_item(self, item);
    }

    fn visit_item_impl(&mut self, item: &'ast ItemImpl) {
        // What a trait's method is for stands at the trait.
        if item.trait_.is_none() {
            for inner in &item.items {
                match inner {
                    ImplItem::Fn(function) => {
                        self.note(public(&function.vis), &function.attrs, &function.sig.ident);
                    }
                    ImplItem::Const(constant) => {
                        self.note(public(&constant.vis), &constant.attrs, &constant.ident);
                    }
                    _ => {}
                }
            }
        }
        visit::visit_item_impl(self, item);
    }

    fn visit_field(&mut self, field: &'ast syn::Field) {
        // A field without a name is explained by its type's docs.
        if let Some(name) = &field.ident {
            self.note(public(&field.vis), &field.attrs, name);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(text: &str) -> Vec<usize> {
        let source = Source::parse("server/desk/src/a.rs", text).unwrap();
        check(&[source])
            .iter()
            .map(|finding| finding.line)
            .collect()
    }

    #[test]
    fn a_file_without_a_header_is_found() {
        assert_eq!(lines("/// Doc.\npub fn a() {}\n"), [1]);
    }

    #[test]
    fn a_bare_public_item_is_found() {
        for item in [
            "pub fn a() {}",
            "pub struct A;",
            "pub enum A {}",
            "pub trait A {}",
            "pub type A = u8;",
            "pub const A: u8 = 1;",
            "pub static A: u8 = 1;",
            "pub mod a {}",
            "impl A { pub fn b(&self) {} }",
            "impl A { pub const B: u8 = 1; }",
            "#[macro_export] macro_rules! a { () => {} }",
            "struct A { pub b: u8 }",
        ] {
            assert_eq!(lines(&format!("//! Header.\n\n{item}\n")), [3], "{item}");
            let documented = format!(
                "//! Header.\n/// Doc.\n{}\n",
                item.replace("{ pub", "{\n/// Doc.\npub")
            );
            assert_eq!(lines(&documented), [0; 0], "{documented}");
        }
        assert_eq!(
            lines("//! Header.\n/// Doc.\npub trait A {\n    fn b();\n}\n"),
            [4]
        );
    }

    #[test]
    fn what_is_not_seen_outside_needs_none() {
        assert_eq!(
            lines(
                "//! Header.\npub(crate) fn a() {}\nfn b() {}\npub mod c;\npub use d::E;\nimpl F for G { fn h() {} }\n"
            ),
            [0; 0]
        );
        assert_eq!(
            lines("//! Header.\n#[cfg(test)]\nmod tests { pub fn a() {} }\n"),
            [0; 0]
        );
    }
}
