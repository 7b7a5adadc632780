//! What the bench of the advice tells of a hunt: its minutes, what the complaint asks for first, and what no way could save.

mod support;

#[path = "benches/advice/ways.rs"]
#[allow(dead_code, reason = "the bench uses all of it")]
mod ways;
#[path = "benches/advice/world.rs"]
#[allow(dead_code, reason = "the bench uses all of it")]
mod world;

use std::borrow::Cow;

use support::{book, close, fault, job};

use ruleout::book::{Book, ComplaintId};
use ways::{Hunt, WAYS, Way, hunt};
use world::World;

/// `cheap` tells c from a and b, `dear` tells a from both, after three minutes of setting up.
const LAMP: &str = "state running\n  takes 3 min\n\
    observation cheap\n  answers yes, no\n  takes 1 min\n\
    observation dear\n  answers yes, no\n  needs running\n  takes 20 min\n\
    observation idle\n  answers yes, no\n  takes 5 min\n\
    complaint it is dark\n  may be a, b, c\n  first idle\n\
    fault a\n  shows cheap is yes\n  shows dear is yes\n\
    fault b\n  shows cheap is yes\n  shows dear is no\n\
    fault c\n  shows cheap is no\n  shows dear is no\n";

fn hunted(book: &Book, way: Way, complaint: Option<ComplaintId>) -> (World<'_>, Hunt) {
    let recorded = job(book, "idle is no\ncheap is yes\nwith running\ndear is yes");
    let world = World::recorded(book, fault(book, "a"), 1, recorded.entries.iter().map(Cow::into_owned).collect());
    let found = hunt(&world, way, 1, complaint);
    (world, found)
}

#[test]
fn a_hunt_pays_for_every_test_and_the_way_there() {
    let book = book(LAMP);
    let (_, hunt) = hunted(&book, Way::BookOrder, None);
    assert!(hunt.found && !hunt.wrong);
    close(hunt.minutes, 1.0 + 3.0 + 20.0);
    assert_eq!(hunt.taken.iter().map(|test| test.left).collect::<Vec<_>>(), [2, 1]);
}

#[test]
fn what_is_needed_is_what_shows_the_fault_alone_with_the_way_there() {
    let book = book(LAMP);
    // `dear` alone leaves only a; `cheap`, taken before it, could have been spared
    let (world, hunt) = hunted(&book, Way::BookOrder, None);
    close(hunt.needed(&world), 3.0 + 20.0);
    // what the complaint asks for first is paid by all, and shows nothing here
    let (world, hunt) = hunted(&book, Way::BookOrder, Some(ComplaintId::at(0)));
    close(hunt.minutes, 5.0 + 1.0 + 3.0 + 20.0);
    close(hunt.baseline(), 5.0);
    close(hunt.needed(&world), 3.0 + 20.0);
}

#[test]
fn no_way_takes_less_than_what_its_own_tests_need() {
    let book = book(LAMP);
    for way in WAYS {
        let (world, hunt) = hunted(&book, way, Some(ComplaintId::at(0)));
        assert!(hunt.found, "{}", way.name());
        let needed = hunt.needed(&world);
        assert!(needed > 0.0 && needed <= hunt.minutes + 1e-9, "{}: {needed} of {}", way.name(), hunt.minutes);
    }
}
