"""What the handout says: eight chapters, each with a question first, then what to try, why, and what to do."""

from __future__ import annotations

from dataclasses import dataclass

from scenes.words import words
from scenes.words.corner import HAIR_UM

#: Behind the stress of a bore that was drawn home over scale.
MAY_CRACK = "That is more than half of it: the bore may crack, if not today."
NO_PROMISE = "One nut run up first asks more of it, and a static figure is no promise."


@dataclass(frozen=True)
class Answer:
    """One answer to a question: its words, whether it is right, what is said to whoever gives it."""

    text: str
    right: bool
    why: str


@dataclass(frozen=True)
class Quiz:
    """A question at the end of a chapter."""

    ask: str
    answers: tuple[Answer, ...]


@dataclass(frozen=True)
class Chapter:
    """One chapter; texts have gaps for this corner's own figures.

    Parameters
    ----------
    key, title, lead : str
        Its name in the page, its heading, its first sentence.
    ask : str
        What the reader marks or bets before anything is shown.
    bets : tuple of str
        Answers to choose from; empty where a place or a number is given.
    show : str
        The button that shows the truth.
    explain : tuple of str
        Paragraphs.
    do : str
        What to do about it at the car.
    quiz : Quiz
    cautions : tuple of str
        Keys of `scenes.words.cautions`.
    """

    key: str
    title: str
    lead: str
    ask: str
    bets: tuple[str, ...]
    show: str
    explain: tuple[str, ...]
    do: str
    quiz: Quiz
    cautions: tuple[str, ...] = ()


HAIR = words.micrometres(HAIR_UM)

CHAPTERS = (
    Chapter(
        "speck",
        "A speck",
        "A rotor sits on the hub like a plate on a table. A speck under its edge, and the plate leans.",
        "{Kind}, {speck} high, lies on the hub face {where}. A hair is about {hair}. Where will the friction "
        "face stand out furthest toward you once the nuts are tight? Mark it. And how far will it run out?",
        ("less than half the speck", "about as much as the speck", "twice the speck or more"),
        "Fit the rotor, tighten the nuts",
        (
            "The nuts pull the flange down all round, and the speck holds it off in one place: flange and hub bend, "
            "and the whole rotor leans away from the speck. At the gauge radius that makes {tir} TIR of a speck of "
            "{speck}; parts that do not bend would read {rigid}.",
            "The speck itself gives way: of {speck} the nuts leave {left}. A rotor on a clean hub reads {clean} here, "
            "from the runout that the parts themselves bring along.",
            "Nobody sees this on the car: the lenses show true proportions, the large picture is {stretch}.",
        ),
        "Take the rotor off. Rust and dirt off hub face and spigot, and round every stud; the maker's coating stays, "
        "unless the maker says otherwise. Refit, torque crosswise, read again.",
        Quiz(
            "The dial shows {tir} on a rotor that looks straight. What comes first?",
            (
                Answer("A new rotor", False, "It would sit on the same speck, and run out as far."),
                Answer(
                    "Rotor off, look at the hub face, clean it, read again",
                    True,
                    "Yes. The cheapest cause, and the one that every other cure is spoiled by.",
                ),
                Answer(
                    "Skim the rotor on the car",
                    False,
                    "That cuts a leaning rotor true: the lean stays in the metal, and shows once the speck is gone.",
                ),
            ),
        ),
        ("maker first", "mask and eyes", "no compressed air"),
    ),
    Chapter(
        "further in",
        "Further in",
        "The same speck, nearer to the middle of the hub face.",
        "The speck moves in, from {outer_mm} mm to {inner_mm} mm from the axis of rotation. The lever is shorter, so a "
        "plate that does not bend would lean more. What will the friction face of this rotor do?",
        ("run out more than before", "run out about as much", "run out less"),
        "Tighten the nuts again",
        (
            "A plate that does not bend would read {rigid_outer} with the speck at the outer edge and {rigid_inner} "
            "with the speck at {inner_mm} mm. Solved with parts that bend, it is {tir_outer} at the edge and "
            "{tir_inner} further in.",
            "{bite}",
        ),
        "Clean the whole face, round every stud and up to the spigot. A small reading does not excuse dirt further in: "
        "it lifts the flange, and the wheel presses just there.",
        Quiz(
            "On most corners: where does the same speck lean the rotor most, read without the wheel?",
            (
                Answer(
                    "The ring next to the spigot, because the lever is shortest there",
                    False,
                    "That is the rule of the plate that does not bend. This flange does.",
                ),
                Answer(
                    "The outer edge of the face",
                    True,
                    "Yes. Nothing presses the flange down beyond it, so the lean goes out to the friction face. "
                    "With the wheel on a speck further in counts as well: clean both.",
                ),
                Answer("The middle of the face, between the two", False, "The nuts press on both sides of it."),
            ),
        ),
        ("no compressed air",),
    ),
    Chapter(
        "pads",
        "Between the pads",
        "The same rotor, running between two pads with the brake released.",
        "Each pad stands {clearance} off a true rotor. The rotor on the speck runs out {tir}. The brake is released, "
        "the wheel turns once. What does the rotor touch?",
        ("neither pad", "one pad, once a turn", "both pads, each once a turn, on opposite sides of it"),
        "Turn the wheel once",
        (
            "Both faces move together: where the outboard face stands out, the inboard face stands in by as much. So "
            "runout by itself makes no thickness variation (DTV): a micrometer reads the same all round.",
            "But where a face stands out further than the pad's clearance, it taps the pad on every turn, always with "
            "the same place. The outboard face wears at its high spot, the inboard face half a turn further on. There "
            "the rotor grows thin.",
            "Pads that stand still are a picture. In the next chapter the caliper slides and springs back.",
        ),
        "Measure runout with the dial and thickness with a micrometer at {places} places: they are two different "
        "faults, and the first makes the second.",
        Quiz(
            "The rotor runs out 100 µm and measures the same thickness all round. What follows?",
            (
                Answer(
                    "It is the wrong rotor: runout means uneven thickness",
                    False,
                    "Both faces lean together. Thickness varies only once metal is gone.",
                ),
                Answer(
                    "It has run out only a short way; left so, thickness variation will grow",
                    True,
                    "Yes. New runout, no wear yet. That is the moment to cure it.",
                ),
                Answer(
                    "Nothing: only thickness is felt", False, "It is thickness that is felt, and runout that makes it."
                ),
            ),
        ),
        ("fingers out",),
    ),
    Chapter(
        "road",
        "Ten thousand kilometres",
        "What taps of a few micrometres do, turn after turn.",
        "The corner with {speck} left on its hub goes on the road. After how many kilometres will its thickness "
        "variation (DTV) pass the limit of {dtv_limit}? Set your bet.",
        (),
        "Drive",
        (
            "About {turns} turns a kilometre, a touch on every one. With the brake released the taps cut the thin "
            "spots; braking presses everywhere and evens out a little. The forecast starts from the runout as driven, "
            "wheel on: {driven} here, where the dial read {tir}.",
            "{road} The shaded band holds 80 % of the draws of what is unsettled: nobody measured this car's wear "
            "coefficient, clearance or pad springs. It is that wide, and no figure inside it is better than another.",
            "Runout shrinks as the rotor wears. A low reading at 6 000 km does not clear the fitting. What the curve "
            "does late, past its highest place, is {late}.",
        ),
        "Cure the seat at the fitting. Once the thin spots are there, cleaning the hub stops their growth; the metal "
        "does not come back.",
        Quiz(
            "The car comes back at 8 000 km with a pulsing pedal. New rotors go on, the hub is not cleaned. What next?",
            (
                Answer(
                    "It is cured: the rotors were bad",
                    False,
                    "The speck is still there, under the new rotor.",
                ),
                Answer(
                    "It comes back some thousand kilometres on",
                    True,
                    "Yes. Same hub, same lean, same taps; how many kilometres nobody can say, see the band.",
                ),
                Answer("It comes back at once", False, "A new rotor is even. It takes kilometres to wear thin spots."),
            ),
        ),
        ("bedding-in",),
    ),
    Chapter(
        "spigot",
        "The spigot",
        "Scale on the collar that centres the rotor.",
        "Scale, for this chapter {scale_um} high, sits on the spigot; the bore leaves {gap} across its diameter. The "
        "nuts are run up by hand and the rotor stands off the face. What now?",
        ("draw it home with the nuts, crosswise", "take it off, clean spigot and bore", "knock it on with a mallet"),
        "Look",
        (
            "By hand the bore binds on the scale: the rotor stops short, leans, and the dial reads nonsense. That is "
            "the good case: it can be seen and felt.",
            "The nuts have the force to draw it home. Then the dial looks almost right, and the bore is stretched over "
            "the scale: {hoop} of hoop stress where grey iron breaks at {strength}. {crack} A mallet drives the "
            "same bore over the same scale.",
            "A little scale that lets the rotor drop on only shifts it off centre: no lateral runout comes from that.",
        ),
        "If the rotor does not drop home by hand: off with it, rust and scale off spigot and bore, look for cracks "
        "from both sides. Cracked means scrap.",
        Quiz(
            "Drawn home with the nuts, the rotor reads {forced} on the dial, within reach of a clean one. Is it good?",
            (
                Answer("Yes, the dial is what counts", False, "The dial cannot see the stress in the bore."),
                Answer(
                    "No: off, clean, inspect for cracks",
                    True,
                    "Yes. A reading near that of a clean corner says nothing of a bore that was stretched over scale.",
                ),
                Answer("Yes, if it was torqued crosswise", False, "Crosswise or not, the bore went over the scale."),
            ),
        ),
        ("never drawn home", "cracked is scrap"),
    ),
    Chapter(
        "hole",
        "Which hole",
        "Clean faces; what is left is the runout of the parts themselves.",
        "The hub face runs out, and so does the rotor by itself: at the dial each of them shows as an arrow toward its "
        "high spot. The rotor can sit on {studs} holes. On which will it run out least?",
        (),
        "Read all of them",
        (
            "Arrows add. Hub and rotor each lean one way; on most holes they add up, on one they nearly cancel. The "
            "best hole is the one where the rotor's arrow comes closest to pointing against the hub's.",
            "No hole can beat the difference of the two lengths. Where one arrow is much the longer, indexing gains "
            "little: then the longer one is the part to see to.",
            "On hole 1, as found, this corner reads {hole_first}; on the best, hole {hole_best}, {hole_least}.",
        ),
        "First clean, then index. A rotor indexed on dirt is lined up with something that will crush or fall off.",
        Quiz(
            "There is scale on the hub face, and one hole reads low. Index it there?",
            (
                Answer(
                    "Yes, the dial reads low",
                    False,
                    "Dirt crushes and shifts: what it cancels today it may add later.",
                ),
                Answer("No: clean first, then read and index", True, "Yes. Only what stays can be cancelled."),
                Answer(
                    "No: indexing never helps", False, "On clean faces it costs nothing; here it takes {hole_gain} off."
                ),
            ),
        ),
        ("re-torque",),
    ),
    Chapter(
        "dial",
        "What the dial says",
        "One corner, one speck, read under every clamping that workshops use.",
        "A dial reads what the nuts make of the rotor at that moment; the road is driven with the wheel on. Which of "
        "these clampings is furthest from the road?",
        (),
        "Read all of them",
        (
            "Few nuts at low torque hardly bend the flange down: the rotor stands on the speck like a stiff plate and "
            "the dial mostly reads high. Every nut at full torque through spacers mostly comes nearest to the wheel.",
            "Here two nuts at low torque read {two_nuts}, spacers at full torque {spacers}, and the road gets "
            "{driven}. What lies behind a reading is a band, never a factor: with the dirt elsewhere the same two "
            "nuts may read low.",
        ),
        "Read with every nut on, spacers under them, at the torque of the wheel, crosswise, the same each time. Write "
        "down beside the reading what held the rotor.",
        Quiz(
            "Two readings of one corner differ by half. What do you ask first?",
            (
                Answer("What held the rotor each time?", True, "Yes. Clamping alone can make that difference."),
                Answer("Which dial was the dearer one?", False, "Both may be right: the corner was clamped otherwise."),
                Answer("Whose reading is lower?", False, "Lower is not truer."),
            ),
        ),
        ("no impact gun",),
    ),
    Chapter(
        "wheel",
        "The wheel goes on",
        "The dial comes off, the wheel goes on: another clamping.",
        "With spacers at full torque this corner reads {tir}. Now the wheel goes on, at the torque of the road. What "
        "will the friction face do?",
        ("run out more", "about the same", "run out less"),
        "Put the wheel on",
        (
            "The wheel's pad presses on the flange in a ring, not only under the nuts: it bends the flange in another "
            "way. Solved with the case's wheel, the corner runs out {driven} as driven.",
            "What the case does not say of its wheel leaves that open: {band} Pads rub on the rotor as driven, so "
            "every forecast starts there. Limits of the trade are dial limits: they are held against the reading.",
            "One loose nut leans even a rotor on a clean face: try nut 1 at a fifth of the torque.",
        ),
        "Tighten the wheel by hand and torque wrench, crosswise, in stages, to the vehicle maker's torque; again after "
        "the distance that the maker gives.",
        Quiz(
            "All nuts but one are at full torque, and an impact gun is at hand. How does the last one go on?",
            (
                Answer("Impact gun, it is only one", False, "One pulled harder than the rest leans the rotor as well."),
                Answer("Torque wrench, same torque, crosswise", True, "Yes. Even torque is part of the seat."),
                Answer("Hand tight, the others hold", False, "Then it leans, and it may come off."),
            ),
        ),
        ("no impact gun", "re-torque", "pump the pedal"),
    ),
)

BITES_OUTSIDE = (
    "Further in, the nuts hold the flange down on both sides of the speck, and the flange bends over it. At the outer "
    "edge nothing holds it down beyond the speck: there dirt bites hardest."
)
BITES_INSIDE = (
    "On most corners dirt bites hardest at the outer edge, because the flange bends over a speck further in. This "
    "flange is stiff for its hub, or lightly clamped: here the speck further in leans the rotor as much or more."
)
LIMITS = (
    "Limits in the plots: mounted runout {mounted} ({whose}), of readings with the wheel off only; thickness variation "
    "{dtv} ({dtv_whose}). The vehicle maker's count."
)
ONE_SPECK = (
    "The page moves one speck about, the highest patch of its corner; what else the case has between its faces is left "
    "out."
)

UI = {
    "predict": "Predict",
    "try": "Try",
    "explain": "Why",
    "do": "At the car",
    "own data": "No figure of this page is of a car that stands before you: read your own.",
    "quiz": "Check yourself",
    "mark": "Tap the rotor, or use the arrow keys, to mark the place.",
    "your mark": "your mark",
    "high spot": "high spot",
    "speck": "speck",
    "where": "Where the speck lies",
    "height": "Height of the speck",
    "turn": "Turn the rotor by hand",
    "radius": "Distance from the axis of rotation",
    "hair": f"a hair, {HAIR_UM:.0f} µm",
    "joint": "at the joint",
    "rim": "at the friction face, under the stylus",
    "limit": "limit",
    "clean": "clean hub",
    "stiff": "parts that do not bend",
    "solved": "solved",
    "outside": "further than this lens shows",
    "off": "Rotor off",
    "on": "Rotor on",
    "cut": "Cut open",
    "whole": "Whole",
    "front": "From the front",
    "slant": "At a slant",
    "true": "True to scale",
    "stretched": "Stretched",
    "right": "Right.",
    "not so": "Not so.",
    "runs out": "The friction face runs out # TIR.",
    "between": "between studs",
    "at": "at stud",
    "high at": "The high spot is at #, # degrees from your mark.",
    "bet right": "Your bet on the amount was right.",
    "bet wrong": "Your bet on the amount was another:",
    "dots": "Each release of a slider leaves a dot. Its area is the TIR.",
    "trace": "What the dial reads over one turn",
    "hub angle": "angle on the hub, from stud 1",
    "left": "of it left under the nuts",
    "how to": "Eight short chapters. Mark or bet first, then see, then try. Drag the picture to turn it; with the "
    "keyboard, use the arrow keys. Works with the network off.",
    "chapters": "Chapters",
    "chapter": "Chapter",
    "contrast": "High contrast",
    "no script": "The pictures and sliders need scripts, which this browser has switched off.",
    "bet": "Your bet",
    "next": "Next chapter",
    "picture": "Picture of the corner: hub, dirt, rotor and nuts. Arrow keys turn it.",
    "dial": "the dial, 0.01 mm a division",
    "hub": "hub",
    "rotor": "rotor",
    "and": "and",
    "no mark": "no mark yet",
    "not fitted": "the rotor is not on",
    "times": "stretched # times",
    "true to scale": "true to scale",
    "height_legend": "Face above its lowest place:",
    "contours": "a line every # µm",
    "one scale": f"Both lenses show 450 µm across, true in height, with a hair of {HAIR_UM:.0f} µm; only the large "
    "picture is stretched.",
    "was and is": "At the outer edge: #. Further in: #.",
    "not safe": "The page never says that a car is safe. The vehicle maker's limits, torques and order of work stand "
    "above everything here. Limits shown without a maker's value are common practice with no source.",
    "outboard pad": "outboard pad",
    "inboard pad": "inboard pad",
    "both faces": "both faces, together",
    "clearance": "Clearance of each pad",
    "pads plot": "Both faces over one turn, between the pads; dark where a face taps a pad",
    "pads told": "Outboard pad touched over # of the turn, inboard pad over #. Thickness differs by # round the turn.",
    "your bet": "your bet",
    "km name": "distance driven [km]",
    "road plot": "Thickness variation over the distance",
    "road told": "After #: DTV #, 80 % band #; the face then runs out #.",
    "no band": "not worked out",
    "80 % band": "80 % band",
    "not within": "later than 30 000 km",
    "after": "passed after",
    "never": "not passed within 30 000 km",
    "km truth": "By the case's own values the limit is #; 80 % band: # to #.",
    "bet inside": "Your bet lies inside the band.",
    "bet outside": "Your bet lies outside the band.",
    "scale axis": "height of the scale on the spigot",
    "hoop": "hoop stress at the bore [MPa]",
    "half strength": "half the tensile strength",
    "scale height": "Height of the scale on the spigot",
    "nuts": "Torque of every nut",
    "spigot told": "The rotor is #. It stands # off the hub face, reads # TIR, and its bore carries # of hoop stress.",
    "crack": "More than half the tensile strength: the bore may crack. A cracked rotor is scrap.",
    "refused": "does not sit",
    "own arrow": "rotor",
    "hub arrow": "hub",
    "arrows": "Arrows point to the high spots: hub (blue, whole) and rotor by itself (violet, dashed).",
    "which hole": "Hole of the rotor on stud 1",
    "hub runout": "Runout of the hub face",
    "own runout": "Runout of the rotor by itself",
    "hole axis": "hole on stud 1 (* your bet)",
    "hole plot": "Runout on every hole",
    "hole truth": "Hole # reads least: #. The worst one reads #.",
    "hole bet": "You chose hole #, which reads #.",
    "furthest": "Furthest from the road",
    "clamping": "What holds the rotor",
    "dial truth": "On the road it is #. Furthest from that: #.",
    "dial bet": "You chose #.",
    "held": ["nuts and spacers", "wheel"],
    "held axis": "what holds the rotor",
    "thick line": "The thick line is the 80 % band over wheels that the case leaves open.",
    "held by": "What holds the rotor",
    "nut 1": "Torque of nut 1, of the others'",
    "wheel plot": "Runout as read and as driven",
    "wheel told": "Under nuts and spacers #, with the wheel on #.",
}
