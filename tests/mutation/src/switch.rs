//! Writes the mutants of one file into it, each behind a switch of its own.
//!
//! A switch stands around an expression, a guard or at the start of a function. Operands inside the changed branch are the
//! original ones, since no two mutants are ever on at once.

use crate::Failure;
use crate::list::Mutant;
use std::collections::BTreeMap;
use std::ops::Range;
use syn::spanned::Spanned;
use syn::visit::Visit;

/// A file with its switches.
pub(crate) struct Switched {
    pub(crate) text: String,
    /// Which bytes of the text belong to which mutant alone.
    pub(crate) changed: Vec<(Range<usize>, usize)>,
    /// From the start of a switch to its end, with the original in it.
    pub(crate) around: Vec<(Range<usize>, usize)>,
    /// Mutants that have no switch, and why.
    pub(crate) without: Vec<(usize, &'static str)>,
}

/// Text that goes before and behind a stretch of the source.
struct Switch {
    range: Range<usize>,
    before: String,
    behind: String,
    /// Where the change stands in both together.
    change: Range<usize>,
    number: usize,
}

/// Writes these mutants into a source.
pub(crate) fn switch(source: &str, mutants: &[&Mutant]) -> Result<Switched, Failure> {
    let mut finder = Finder {
        source,
        by_place: BTreeMap::new(),
        switches: Vec::new(),
        without: Vec::new(),
        in_constant: false,
    };
    for mutant in mutants {
        let key = (mutant.span.start, mutant.span.end);
        finder.by_place.entry(key).or_default().push(mutant);
    }
    finder.visit_file(&syn::parse_file(source)?);
    let left = finder.by_place.into_values().flatten();
    let mut without = finder.without;
    without.extend(left.map(|mutant| (mutant.number, "its place was not found")));
    Ok(written(source, finder.switches, without))
}

impl Switched {
    /// Notes where the change stands, when it is in this part of the switch, which begins at `begin`.
    fn note_change(&mut self, begin: usize, part: Range<usize>, switch: &Switch) {
        if part.contains(&switch.change.start) {
            let start = begin + switch.change.start - part.start;
            let end = start + switch.change.len();
            self.changed.push((start..end, switch.number));
        }
    }
}

/// Stretches lie within each other or apart, so all that is written is a nest of brackets.
fn written(
    source: &str,
    mut switches: Vec<Switch>,
    without: Vec<(usize, &'static str)>,
) -> Switched {
    // What only goes before something stands outside everything that begins there.
    switches.sort_by_key(|one| {
        let is_around = !one.range.is_empty();
        (one.range.start, is_around, usize::MAX - one.range.end)
    });
    let mut done = Switched {
        text: String::new(),
        changed: Vec::new(),
        around: Vec::new(),
        without,
    };
    let mut open: Vec<(usize, usize, &Switch)> = Vec::new();
    let mut at = 0;
    for switch in &switches {
        close(source, &mut open, &mut at, &mut done, |end| {
            end <= switch.range.start
        });
        done.text.push_str(&source[at..switch.range.start]);
        at = switch.range.start;
        let begin = done.text.len();
        done.note_change(begin, 0..switch.before.len(), switch);
        done.text.push_str(&switch.before);
        if switch.range.is_empty() {
            done.around.push((begin..done.text.len(), switch.number));
        } else {
            open.push((switch.range.end, begin, switch));
        }
    }
    close(source, &mut open, &mut at, &mut done, |_| true);
    done.text.push_str(&source[at..]);
    done
}

fn close(
    source: &str,
    open: &mut Vec<(usize, usize, &Switch)>,
    at: &mut usize,
    done: &mut Switched,
    is_due: impl Fn(usize) -> bool,
) {
    while let Some((end, begin, switch)) = open.pop_if(|(end, _, _)| is_due(*end)) {
        done.text.push_str(&source[*at..end]);
        *at = end;
        let before = switch.before.len();
        done.note_change(
            done.text.len(),
            before..before + switch.behind.len(),
            switch,
        );
        done.text.push_str(&switch.behind);
        done.around.push((begin..done.text.len(), switch.number));
    }
}

/// Finds the place of each mutant in the source.
struct Finder<'a> {
    source: &'a str,
    by_place: BTreeMap<(usize, usize), Vec<&'a Mutant>>,
    switches: Vec<Switch>,
    without: Vec<(usize, &'static str)>,
    in_constant: bool,
}

impl<'a> Finder<'a> {
    fn text(&self, range: Range<usize>) -> &'a str {
        &self.source[range]
    }

    /// Hands out the mutants of a place; those that can have no switch there are noted.
    fn take(&mut self, place: Range<usize>, genres: &[&str]) -> Vec<&'a Mutant> {
        let Some(here) = self.by_place.get_mut(&(place.start, place.end)) else {
            return Vec::new();
        };
        let is_meant = |mutant: &mut &Mutant| genres.contains(&&*mutant.genre);
        let taken: Vec<&Mutant> = here.extract_if(.., is_meant).collect();
        if self.in_constant {
            self.refuse(&taken, "no switch can be asked in a constant");
            return Vec::new();
        }
        taken
    }

    fn refuse(&mut self, mutants: &[&Mutant], why: &'static str) {
        self.without
            .extend(mutants.iter().map(|mutant| (mutant.number, why)));
    }

    /// Puts a switch around an expression; `changed` stands there while the mutant is on.
    fn around(&mut self, range: Range<usize>, mutant: &Mutant, changed: &str) {
        let head = format!("(if crate::mutation::is_on({}) {{ ", mutant.number);
        self.switches.push(Switch {
            range,
            change: head.len()..head.len() + changed.len(),
            before: format!("{head}{changed} }} else {{ "),
            behind: " })".to_owned(),
            number: mutant.number,
        });
    }

    /// Puts words with a switch in them before a place.
    fn before(&mut self, at: usize, mutant: &Mutant, words: String) {
        self.switches.push(Switch {
            range: at..at,
            change: 0..words.len(),
            before: words,
            behind: String::new(),
            number: mutant.number,
        });
    }

    fn function(&mut self, signature: &syn::Signature, block: &syn::Block) {
        if let (Some(first), Some(last)) = (block.stmts.first(), block.stmts.last()) {
            let start = first.span().byte_range().start;
            let place = start..last.span().byte_range().end;
            for mutant in self.take(place.clone(), &["FnValue"]) {
                if returns_unnamed(&signature.output) {
                    self.iterator(place.clone(), mutant);
                    continue;
                }
                let value = &mutant.replacement;
                let words = format!(
                    "if crate::mutation::is_on({}) {{ return {value}; }} ",
                    mutant.number
                );
                self.before(start, mutant, words);
            }
        }
        self.visit_block(block);
    }

    /// A method that could run while the program is compiled cannot ask a switch: that it could is taken off.
    fn only_at_run_time(&mut self, signature: &syn::Signature, block: &syn::Block) {
        let body = block.span().byte_range();
        let within = self.by_place.keys().find(|(start, _)| body.contains(start));
        if let (Some(word), Some(_)) = (signature.constness, within) {
            self.switches.push(Switch {
                range: word.span().byte_range(),
                before: "/* ".to_owned(),
                behind: " */".to_owned(),
                change: 0..0,
                number: 0,
            });
        }
    }

    /// The kind of an iterator that has no name must stay the same: it is cut short, and what the mutant gives is put behind it.
    fn iterator(&mut self, body: Range<usize>, mutant: &Mutant) {
        let number = mutant.number;
        let is_on = format!("if crate::mutation::is_on({number})");
        let value = mutant.replacement.trim();
        let one = value.strip_prefix("::std::iter::once(");
        let one = one.and_then(|rest| rest.strip_suffix(')'));
        let one = one.map_or_else(|| "None".to_owned(), |one| format!("Some({one})"));
        let before = "({ ".to_owned();
        let behind = format!(
            " }}).take({is_on} {{ 0 }} else {{ usize::MAX }}).chain({is_on} {{ {one} }} else {{ None }})"
        );
        self.switches.push(Switch {
            range: body,
            change: before.len()..before.len() + behind.len(),
            before,
            behind,
            number,
        });
    }

    fn arm(&mut self, arm: &syn::Arm) {
        for mutant in self.take(arm.span().byte_range(), &["MatchArm"]) {
            let end = arm.pat.span().byte_range().end;
            let words = format!(" if !crate::mutation::is_on({})", mutant.number);
            self.before(end, mutant, words);
        }
        let Some((_, guard)) = &arm.guard else { return };
        let place = guard.span().byte_range();
        for mutant in self.take(place.clone(), &["MatchArmGuard"]) {
            self.around(place.clone(), mutant, &mutant.replacement);
        }
    }
}

impl<'ast> Visit<'ast> for Finder<'_> {
    /// Free functions that may run while the program is compiled do: the tables are made by them.
    fn visit_item_fn(&mut self, node: &'ast syn::ItemFn) {
        let before = std::mem::replace(&mut self.in_constant, node.sig.constness.is_some());
        self.function(&node.sig, &node.block);
        self.in_constant = before;
    }

    fn visit_impl_item_fn(&mut self, node: &'ast syn::ImplItemFn) {
        self.only_at_run_time(&node.sig, &node.block);
        self.function(&node.sig, &node.block);
    }

    fn visit_trait_item_fn(&mut self, node: &'ast syn::TraitItemFn) {
        if let Some(block) = &node.default {
            self.function(&node.sig, block);
        }
    }

    fn visit_item_const(&mut self, node: &'ast syn::ItemConst) {
        let before = std::mem::replace(&mut self.in_constant, true);
        syn::visit::visit_item_const(self, node);
        self.in_constant = before;
    }

    fn visit_expr_binary(&mut self, node: &'ast syn::ExprBinary) {
        let range = node.span().byte_range();
        for mutant in self.take(node.op.span().byte_range(), &["BinaryOperator"]) {
            if names_something(&node.left) || names_something(&node.right) {
                self.refuse(&[mutant], "it joins a condition that binds a name");
                continue;
            }
            let left = self.text(node.left.span().byte_range());
            let right = self.text(node.right.span().byte_range());
            let sign = &mutant.replacement;
            let changed =
                if sign.trim().len() > 1 && sign.trim().ends_with('=') && !is_comparison(sign) {
                    format!("{left} {sign} ({right})")
                } else {
                    format!("({left}) {sign} ({right})")
                };
            self.around(range.clone(), mutant, &changed);
        }
        syn::visit::visit_expr_binary(self, node);
    }

    fn visit_expr_unary(&mut self, node: &'ast syn::ExprUnary) {
        for mutant in self.take(node.op.span().byte_range(), &["UnaryOperator"]) {
            let operand = self.text(node.expr.span().byte_range());
            self.around(node.span().byte_range(), mutant, operand);
        }
        syn::visit::visit_expr_unary(self, node);
    }

    fn visit_expr_match(&mut self, node: &'ast syn::ExprMatch) {
        for arm in &node.arms {
            self.arm(arm);
        }
        syn::visit::visit_expr_match(self, node);
    }

    fn visit_expr_struct(&mut self, node: &'ast syn::ExprStruct) {
        let whole = node.span().byte_range();
        for pair in node.fields.pairs() {
            let start = pair.value().span().byte_range().start;
            let end = match pair.punct() {
                Some(comma) => comma.span().byte_range().end,
                None => pair.value().span().byte_range().end,
            };
            for mutant in self.take(start..end, &["StructField"]) {
                let changed = [self.text(whole.start..start), self.text(end..whole.end)].concat();
                self.around(whole.clone(), mutant, &changed);
            }
        }
        syn::visit::visit_expr_struct(self, node);
    }
}

/// Tells whether a function returns something whose kind only the compiler knows.
fn returns_unnamed(output: &syn::ReturnType) -> bool {
    matches!(output, syn::ReturnType::Type(_, kind) if matches!(**kind, syn::Type::ImplTrait(_)))
}

/// `let` in a condition stands in no brackets.
fn names_something(expression: &syn::Expr) -> bool {
    match expression {
        syn::Expr::Let(_) => true,
        syn::Expr::Binary(joined) => {
            matches!(joined.op, syn::BinOp::And(_))
                && (names_something(&joined.left) || names_something(&joined.right))
        }
        _ => false,
    }
}

fn is_comparison(sign: &str) -> bool {
    matches!(sign.trim(), "==" | "!=" | "<=" | ">=")
}
