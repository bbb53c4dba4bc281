//! Sharing work among threads so that the result never depends on their timing.

use std::collections::BTreeMap;
use std::sync::Condvar;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;
use std::sync::mpsc;

/// Does `work` on every item on at most `threads` threads at once and returns the results in the order of the items. Items are
/// taken one by one in their order, so put the largest first.
pub fn share<T: Sync, R: Send>(
    items: &[T],
    threads: usize,
    work: impl Fn(&T) -> R + Sync,
) -> Vec<R> {
    share_with(items, threads, || (), |(), item| work(item))
}

/// Does the same with something that each thread makes once, and uses for all its items: room for what it reads.
pub fn share_with<T: Sync, R: Send, S>(
    items: &[T],
    threads: usize,
    make: impl Fn() -> S + Sync,
    work: impl Fn(&mut S, &T) -> R + Sync,
) -> Vec<R> {
    if threads <= 1 || items.len() <= 1 {
        let mut own = make();
        return items.iter().map(|item| work(&mut own, item)).collect();
    }
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<(usize, R)>> = Mutex::new(Vec::with_capacity(items.len()));
    std::thread::scope(|scope| {
        for _ in 0..threads.min(items.len()) {
            scope.spawn(|| {
                let mut own = make();
                while let Some((index, item)) = take(&next, items) {
                    let result = work(&mut own, item);
                    if let Ok(mut done) = done.lock() {
                        done.push((index, result));
                    }
                }
            });
        }
    });
    // A thread that panicked ends the scope with its panic, so the lock is sound here.
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, result)| result).collect()
}

/// Does two things at once, the second on a thread of its own, and returns what came of both.
pub fn both<A, B: Send>(mine: impl FnOnce() -> A, other: impl FnOnce() -> B + Send) -> (A, B) {
    std::thread::scope(|scope| {
        let other = scope.spawn(other);
        let mine = mine();
        let other = other.join();
        (
            mine,
            other.unwrap_or_else(|panic| std::panic::resume_unwind(panic)),
        )
    })
}

/// Items that one thread may be ahead of the one whose turn it is.
const AHEAD: usize = 4;

/// Prepares every item on at most `threads` threads at once, and hands what was prepared over in the order of the items, one at a
/// time. Whichever thread finds that it is an item's turn hands it over and those that are ready behind it, while the others go on
/// preparing, not further ahead than a few items each. The first failure ends the work.
///
/// # Errors
/// Gives the failure of the first item that failed, in the order of the items.
pub fn in_order<T: Sync, P: Send, E: Send>(
    items: &[T],
    threads: usize,
    prepare: impl Fn(&T) -> Result<P, E> + Sync,
    hand_over: impl FnMut(&T, P) -> Result<(), E> + Send,
) -> Result<(), E> {
    let next = AtomicUsize::new(0);
    let threads = threads.min(items.len()).max(1);
    let line = Waiting {
        state: Mutex::default(),
        moved: Condvar::new(),
        ahead: threads.saturating_mul(AHEAD),
        hand_over: Mutex::new(hand_over),
    };
    let work = || {
        let leaving = Leaving(&line);
        while let Some((index, item)) = take(&next, items) {
            if !line.has_room(index) {
                break;
            }
            line.put(index, prepare(item));
            line.move_on(items);
        }
        drop(leaving);
    };
    std::thread::scope(|scope| {
        for _ in 1..threads {
            scope.spawn(work);
        }
        work();
    });
    let state = line.state.into_inner();
    let state = state.unwrap_or_else(PoisonError::into_inner);
    state.failure.map_or(Ok(()), Err)
}

/// Passes on every message that `feed` tells to every listener, each on a thread of its own and in the order told. `feed` waits while
/// a listener is `ahead` messages behind. When this returns, every listener has taken in every message.
pub fn tell_all<M: Clone + Send, L: FnMut(M) + Send, R>(
    listeners: Vec<L>,
    ahead: usize,
    feed: impl FnOnce(&mut dyn FnMut(M)) -> R,
) -> R {
    std::thread::scope(|scope| {
        let senders: Vec<mpsc::SyncSender<M>> = listeners
            .into_iter()
            .map(|listener| {
                let (sender, messages) = mpsc::sync_channel(ahead);
                scope.spawn(move || messages.iter().for_each(listener));
                sender
            })
            .collect();
        feed(&mut |message| {
            for sender in &senders {
                // A listener that is gone left with a panic, which the end of the scope passes on.
                let _ = sender.send(message.clone());
            }
        })
    })
}

/// What was prepared and waits for its turn.
struct Waiting<P, E, H> {
    state: Mutex<Turns<P, E>>,
    moved: Condvar,
    ahead: usize,
    hand_over: Mutex<H>,
}

struct Turns<P, E> {
    turn: usize,
    ready: BTreeMap<usize, Result<P, E>>,
    /// Whether a thread is handing over.
    is_moving: bool,
    is_over: bool,
    /// Threads that wait for room: waking nobody is a call of the system too.
    waiting: usize,
    failure: Option<E>,
}

impl<P, E> Default for Turns<P, E> {
    fn default() -> Self {
        Self {
            turn: 0,
            ready: BTreeMap::new(),
            is_moving: false,
            is_over: false,
            waiting: 0,
            failure: None,
        }
    }
}

impl<P, E, H> Waiting<P, E, H> {
    /// Waits until an item is not too far ahead; tells whether the work still goes on.
    fn has_room(&self, index: usize) -> bool {
        let mut state = locked(&self.state);
        while index > state.turn.saturating_add(self.ahead) && !state.is_over {
            state.waiting = state.waiting.saturating_add(1);
            state = self
                .moved
                .wait(state)
                .unwrap_or_else(PoisonError::into_inner);
            state.waiting = state.waiting.saturating_sub(1);
        }
        !state.is_over
    }

    fn put(&self, index: usize, prepared: Result<P, E>) {
        locked(&self.state).ready.insert(index, prepared);
    }

    /// Hands over what is ready, unless another thread is doing so: that one takes what was put meanwhile.
    fn move_on<T>(&self, items: &[T])
    where
        H: FnMut(&T, P) -> Result<(), E>,
    {
        while let Some((item, prepared)) = self.begin(items) {
            let handed = prepared.and_then(|prepared| locked(&self.hand_over)(item, prepared));
            self.end(handed.err());
        }
    }

    fn begin<'t, T>(&self, items: &'t [T]) -> Option<(&'t T, Result<P, E>)> {
        let mut state = locked(&self.state);
        if state.is_moving || state.is_over {
            return None;
        }
        let turn = state.turn;
        let prepared = state.ready.remove(&turn)?;
        state.is_moving = true;
        items.get(turn).map(|item| (item, prepared))
    }

    fn end(&self, failure: Option<E>) {
        let mut state = locked(&self.state);
        state.is_moving = false;
        state.turn = state.turn.saturating_add(1);
        state.is_over |= failure.is_some();
        state.failure = failure;
        if state.waiting > 0 {
            self.moved.notify_all();
        }
    }

    fn give_up(&self) {
        locked(&self.state).is_over = true;
        self.moved.notify_all();
    }
}

/// A thread that leaves by a panic must not leave the others waiting for its turn.
struct Leaving<'a, P, E, H>(&'a Waiting<P, E, H>);

impl<P, E, H> Drop for Leaving<'_, P, E, H> {
    fn drop(&mut self) {
        if std::thread::panicking() {
            self.0.give_up();
        }
    }
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

fn take<'a, T>(next: &AtomicUsize, items: &'a [T]) -> Option<(usize, &'a T)> {
    let index = next.fetch_add(1, Ordering::Relaxed);
    items.get(index).map(|item| (index, item))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn handing_over_keeps_the_order_and_ends_at_the_first_failure() {
        let items: Vec<u64> = (0..300).collect();
        for threads in [0, 1, 2, 8] {
            let mut seen = Vec::new();
            let done = in_order(
                &items,
                threads,
                |item| {
                    if *item == 200 {
                        Err(*item)
                    } else {
                        Ok(item * 3)
                    }
                },
                |item, prepared| {
                    seen.push((*item, prepared));
                    if *item == 250 { Err(*item) } else { Ok(()) }
                },
            );
            assert_eq!(done, Err(200));
            let expected: Vec<(u64, u64)> = (0..200).map(|item| (item, item * 3)).collect();
            assert_eq!(seen, expected);
        }
        let none: Result<(), ()> = in_order(&Vec::<u8>::new(), 2, |_| Ok(()), |_, ()| Ok(()));
        assert_eq!(none, Ok(()));
    }

    #[test]
    fn every_listener_hears_everything_in_order() {
        let mut heard = vec![Vec::new(); 3];
        let listeners = heard
            .iter_mut()
            .map(|heard| |message: u64| heard.push(message))
            .collect();
        let told = tell_all(listeners, 2, |tell| (0..500).map(tell).count());
        assert_eq!(told, 500);
        let expected: Vec<u64> = (0..500).collect();
        assert!(heard.iter().all(|heard| *heard == expected));
    }

    #[test]
    fn a_panic_passes_on_and_leaves_nobody_waiting() {
        let items: Vec<u64> = (0..300).collect();
        for panics_while_preparing in [true, false] {
            let stops = |item: u64, preparing: bool| {
                assert!(item != 100 || preparing != panics_while_preparing);
            };
            let work = || {
                in_order(
                    &items,
                    4,
                    |item| {
                        stops(*item, true);
                        Ok::<(), ()>(())
                    },
                    |item, ()| {
                        stops(*item, false);
                        Ok(())
                    },
                )
            };
            assert!(std::panic::catch_unwind(work).is_err());
        }
    }

    #[test]
    fn results_keep_the_order_of_the_items() {
        let items: Vec<u64> = (0..500).collect();
        let expected: Vec<u64> = items.iter().map(|item| item * 2).collect();
        for threads in [0, 1, 2, 8, 900] {
            assert_eq!(share(&items, threads, |item| item * 2), expected);
        }
    }
}
