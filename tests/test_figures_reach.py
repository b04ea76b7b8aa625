"""Free text reaches every figure: several wordings each, with the units coaches type, all through Assistant.ask."""

from __future__ import annotations

import math

import pytest

from assistant.conversation import Assistant

FACTORS = (1.0, 2.54, 1 / 2.54, 0.45359237, 1 / 0.45359237)
# quantity, value, tolerance, wordings
Case = tuple[str, float, float, list[str]]

SCREENS: list[Case] = [
    # CDC STEADI 2017 (30-second chair stand): women 65-69 11, men 60-64 14, women 75-79 10, men 75-79 11.
    ("chair-stand-30s-cutoff", 11, 0, [
        "woman 67, chair stands 10 in the half minute. ok or not", "F67 30 s chair stand 12 - flag?",
        "67 yo lady got 9 on the 30 sec sit to stand, low?", "she's 67, thirty second chair stand: eleven. below the line?",
        "30 second chair stand cut off for a 66 year old woman?", "chair stand 30s, women 65-69, what counts as below average",
    ]),
    ("chair-stand-30s-cutoff", 14, 0, [
        "M62 30s STS 13, is that below avg", "62M 30 s sts 15 pass?", "he's 62. 30 s chair stand 12. flag?",
        "bloke of 63, twelve stands in 30 seconds, below average?", "Man, aged 61: chair stand test 13 in half a minute. Low?",
    ]),
    # CDC STEADI: arms used scores 0.
    ("chair-stand-30s-score", 0, 0, [
        "she pushed on her thighs for all 8 of the 30s chair rises, age 79, what do i write down",
        "30 s chair stand, he used his arms on every one, 10 stands. score?", "man 70 30s sts 9 but with hands. what score",
        "30 sec chair stand 7 reps, hands on her knees each time, 82. how do I score it",
        "30 s chair stand: pushed off the armrests for 6 stands, woman 74. score?",
    ]),
    # Rikli & Jones 2013 criterion standards: women 70-74 14.
    ("chair-stand-30s-independence", 14, 0, [
        "independence standard for a 71 yr old woman, chair stands, the 2013 one", "woman 72 30 s chair stand 11, independence standard?",
        "chair stand count to stay independent, lady of 73?", "how many chair stands does a woman aged 70 need to stay independent, 30 s test",
        "2013 standard, 30 s chair stand, F74, she got 13",
    ]),
    # Bohannon 2006: 11.4, 12.6, 14.8 s.
    ("sit-to-stand-5x-limit", 12.6, 0, [
        "five times sit to stand 13.1 s, he's 72. worse than avg?", "5xSTS 14 secs, woman 75, slow?", "5 x sit to stand 11.9 s man of 78 ok?",
        "F71 five chair stands took 13 s. flag?", "five rep sit to stand 12.2 sec, 76 yo. over the line?",
    ]),
    # Nocera 2013: 11.5 s in Parkinson's; STEADI 12 s.
    ("timed-up-and-go-cutoff", 11.5, 0, [
        "Parkinsons bloke TUG 12.3, whats the PD cut off again", "TUG 11.0 s, lady with Parkinson's. over the line?",
        "PD client timed up and go 13 secs, flag?", "parkinsons woman 70, TUG of 12. risk?", "he has Parkinson's: TUG cut-off?",
    ]),
    ("timed-up-and-go-cutoff", 12, 0, [
        "TUG of 14 s, woman, 73", "timed up and go 11.2 s, man 80. flag?", "tug 12.5 for a 68 yr old, slow?",
        "Timed Up & Go took her 13 seconds, raised risk?", "up and go test 10 s, bloke of 71, pass?",
    ]),
    # Goldberg 2012: 2.5 s; Huang 2011: 3.5 s in Parkinson's; Alghadir 2015: 1.1 s in knee osteoarthritis.
    ("minimal-detectable-change", 2.5, 0, [
        "5xSTS went 15.8 to 12.9 in ten wks, lady 74. real change or noise", "five times sit to stand 14 s in march, 13 s now, real?",
        "5 x sit to stand: was 16.2, now 13.0 s. true improvement?", "5xsts from 13.0 to 11.5 s, within error?",
        "five chair stands 15 s then 12 s, is that a real change",
    ]),
    ("minimal-detectable-change", 3.5, 0, [
        "TUG in a PD lady 16.0 in jan, 14.1 now. chalk it up as a win?", "Parkinson's, TUG went from 14 to 12 s, real change?",
        "PD man tug 16 s to 12 s, real or noise", "timed up and go 15.1 in May, 11.2 s in Sept, parkinsons. real change?",
        "what's the smallest real change on the TUG in Parkinson's",
    ]),
    ("minimal-detectable-change", 1.1, 0, [
        "knee OA, TUG 11.9 to 10.4 s, real?", "tug went from 10.4 to 9.7 s, knee osteoarthritis, real change or noise",
        "client with knee arthritis: TUG was 12.0, now 10.2. real change?", "knee OA lady tug 13.1 s in june 11.5 s now, real improvement?",
        "smallest real change TUG knee osteoarthritis",
    ]),
    # Guralnik 1994 scoring.
    ("sppb-balance-points", 1, 0, [
        "SPPB balance: side by side 10, semi tandem 7 secs, stopped. how many points", "sppb balance pts: together 10 s, semi-tandem 4 s",
        "SPPB: side by side 10 s, semi 9 s. balance points?", "balance bit of the sppb, side by side held 10, semi tandem 6.5. points?",
        "sppb, feet together 10 sec then semi tandem 3 sec. balance score?",
    ]),
    ("sppb-gait-points", 2, 0, [
        "4m walk 6.5 sec, sppb gait pts?", "SPPB walk part: 4 m in 7 s, points?", "sppb gait score for 4 metres in 8.1 secs",
        "how many SPPB points for a 4 m walk of 6.9 s", "sppb: took 7.5 s for the 4 m, gait points?",
    ]),
    ("sppb-chair-points", 2, 0, [
        "sppb chair points for five rises in 14.5 s", "SPPB: 5 chair stands 15.0 s, points?", "chair part of the sppb 13.9 s, how many points",
        "sppb five chairs took 16.1 secs. pts?", "SPPB chair score, five stands in 14 s",
    ]),
    ("sppb-total", 8, 0, [
        "Full house on the three stances, 5.1 s for the 4 m, five chair rises in 16.9 - add it up for me, SPPB",
        "SPPB parts: balance 3, gait 3, chairs 2. total?", "sppb came out 3 for balance, 3 walk, 2 for the chair bit",
        "sppb total: balance 4 gait 2 chair 2", "SPPB: all three stances held, 4 m in 5.9 s, chair stands 17.5 s. total?",
    ]),
    # 4 m in 5.6 s = 0.714 m/s.
    ("gait-speed", 0.714, 0.005, [
        "usual walk: 4 metres in 5.6 s. speed and is it slow?", "4 m in 5.6 secs, gait speed?", "walked 10 m in 14 s, how fast is that",
        "gait speed: 5.6 seconds for the four metre walk, 4 m. slow?", "she covers 20 m in 28 s. walking speed?",
    ]),
    ("gait-speed", 0.871, 0.003, [
        "20 ft in 7 s, walking speed?", "crosses 40 feet in 14 s. gait speed?", "10 yards in 10.5 s, speed?", "walks 20 feet in 7 secs, slow?",
        "usual pace 40 ft in 14 s, speed in m/s",
    ]),
    # EWGSOP2 2019: 27 and 16 kg.
    ("grip-cutoff", 27, 0, [
        "man 70 squeezes 26 on the dyno, kg. weak?", "M70 grip 25 kg low?", "grip strength 60 lb, man of 72, under the line?",
        "he's 80, handgrip 24 kilos. weak?", "grip test 28 kg for a gent of 66. ok?",
    ]),
    ("grip-strength", 23.6, 0.05, [
        "Dynamometer reads in pounds. 52 lb, gent of 81: kilos, and is that under the line?", "grip 52 lb woman 70 low?",
        "52 pounds on the dyno, man 75, weak?", "grip of 52 lbs, F72, flag?", "handgrip 52 lb, he's 68. low?",
    ]),
    # de Brito 2012: 5 + 5, less 1 a support, 0.5 a wobble.
    ("sitting-rising-score", 6.5, 0, [
        "sit-rise test: down w/ one hand. up w/ one hand + one knee and a wee wobble. score",
        "SRT: one hand down, one hand and one knee up with a wobble. score?",
        "sitting-rising test, lowering with a hand, rising with a hand and a knee, one wobble on the way up",
        "sit and rise: down with one hand, up with two hands and a wobble, what's the score",
        "SRT down 1 hand, up 1 hand 1 knee, wobbled going up. total",
    ]),
    ("sitting-rising-score", 8.5, 0, [
        "sitting rising test: down with a wobble, up with one hand", "SRT down with no hands but a wobble, up on one knee. score?",
        "sit-rise: sat down unaided with a wobble, rose with one hand. score",
        "sit to rise test, up with one hand and a wobble, down with no hands, score?", "SRT, wobble on the way down, one hand going up, score",
    ]),
    ("sitting-rising-hazard-ratio", 3.44, 0, [
        "Sit-rise score of 5.5: which band and how does its mortality hazard compare", "SRT score 4, hazard?", "sitting-rising 5 points - mortality band?",
        "sit to rise test score 3.5, survival band?", "brito SRT 4.5, hazard ratio?",
    ]),
    # Duncan 1992: odds 2.0 for 6 to 10 in, 4.0 for 6 in or less.
    ("functional-reach-odds-ratio", 2.0, 0, [
        "functional reach 7 inches in an 80 y/o man, odds?", "functional reach of 20 cm, man 75. odds ratio?", "man 78 functional reach 9 in, how likely is trouble",
        "functional reach test 22 cm, gent 82, odds?", "forward reach 8 in for a man of 74, odds?",
    ]),
    ("functional-reach-cutoff", 10, 0, [
        "functional reach 8 in, woman 72, low?", "functional reach 24 cm F70 flag?", "reach test 11 in, man of 70, ok?", "functional reach cut off?",
        "functional reach 9.5 inches, she's 77. below the line?",
    ]),
    # Vellas 1997 5 s; Araujo 2022 10 s; Bohannon 2006 17.2 s at 70 to 79.
    ("single-leg-stance-10s", 10, 0, [
        "62 yo, one leg stand 8 sec. whats the ten second paper say", "M58 single leg stance 9 s flag?", "10 second one leg stance, woman 70, held 7 s",
        "one-leg stance 12 s at 65, pass?", "she's 60, stood on one leg for 8 secs, ok?",
    ]),
    ("single-leg-stance-average", 17.2, 0, [
        "mean single leg stance in your seventies eyes open? pooled", "average one leg stance for a 74 year old", "single leg stance norm at 78?",
        "one leg stand 12 s, woman 73, average for age?", "typical single-leg stance time, man 71?",
    ]),
    ("four-square-step-cutoff", 15, 0, [
        "four square step test 16.2, she's 77. over the line?", "FSST 14 s, man 70 ok?", "4 square step 15.5 secs flag?", "four square step cut-off?",
        "4-square step test took 17 s, lady 80, slow?",
    ]),
    ("berg-cutoff", 45, 0, [
        "Berg 44, woman 80, flag?", "berg balance scale 50, low?", "BBS score of 43 in a man of 78, below the line?", "Berg cut off?", "berg total 46 ok?",
    ]),
    ("stay-independent-points", 4, 0, [
        "Stay Independent form: fell last yr, holds furniture, feels sad. points n is it positive",
        "stay independent: fallen this year, uses a cane. score?", "stay independent questionnaire: fell last year, worried about falling, pushes with hands to get up",
        "Stay Independent: cane user, uses a cane, unsteady, trouble with curbs. points?", "stay independent form - fell, rushes to the toilet, sad. how many points",
    ]),
    ("sarc-f-cutoff", 4, 0, [
        "SARC-F total 5 for him, meaning?", "sarc-f of 3, ok?", "SARC F score 6 flag?", "sarcf 4 points, woman 79, positive?", "what SARC-F score counts as positive",
    ]),
    ("short-fes-i-band", 14, 0, [
        "Short FES-I 15, high?", "short fes-i of 20, band?", "short FES-I total 16, what does it mean", "short fes i 24 for a lady of 80", "Short FES-I score 18 bad?",
    ]),
    # Freeman 2011: 20/10 mmHg from lying; Shaw 2017: 15/7 from sitting.
    ("systolic-drop-cutoff", 20, 0, [
        "lying 138/80, standing one min 124/74. postural drop or nah", "BP lying 132/78, stood up 110/70, postural drop?",
        "supine 140/82 then 118/76 standing, orthostatic?", "lying down 128/80 and 3 min standing 120/76, is that a drop", "postural drop check: lying 136/84, standing 121/75",
    ]),
    ("systolic-drop-cutoff", 15, 0, [
        "sitting 136/80, standing 120/75 - postural drop?", "seated 128/76, stood 118/72, drop?", "sat 140/80 then standing 122/76 postural drop",
        "sitting bp 132/78, standing bp 115/70, is it a postural drop", "seated 130/80 standing 124/78, orthostatic drop?",
    ]),
    # Rikli & Jones 1999.
    ("six-minute-walk-range", 470, 0, [
        "6 min walk in yards: 450, man of 78. normal band?", "6MWT 440 yards, M77, low?", "six minute walk 410 m, man 76, normal range?",
        "gent of 79 walked 460 yds in the 6 minute walk, below?", "6 min walk test: 500 yd, man 75, ok?",
    ]),
    # Jenkins 2009: man of 70, 175 cm: 867 - 5.71 x 70 + 1.03 x 175 = 647.6 m.
    ("six-minute-walk-expected", 647.6, 0.6, [
        "expected 6MWD by jenkins for a man 70 yrs 175cm", "six minute walk expected distance, M70, 175 cm", "predicted 6 min walk, man 70, 1.75 m tall",
        "man of 70, 5 ft 8.9 in, expected six-minute walk?", "6MWT predicted distance for a 70 yo gent, 175 cm",
    ]),
    ("up-and-go-8ft|eight-foot-up-and-go-range", 8.7, 0, [
        "8 foot up n go 8.2s, woman 83", "8 ft up and go 9.1 s, F81, slow?", "eight foot up and go 7 s lady 84 ok?", "8-foot up-and-go, 82 yo woman, 8.9 secs flag?",
        "8 ft up-and-go normal range for a woman of 80",
    ]),
    ("two-minute-step-range", 80, 0, [
        "2 min step in place 64 knees, chap of 72. low?", "two minute step test 85, man 71", "M74 2-minute step 78 steps flag?", "2 min march 70, gent of 70, below?",
        "two-minute step range for a man of 73?",
    ]),
    ("arm-curl-range", 12, 0, [
        "arm curl 10, woman 72, low?", "F66 arm curls 14 in 30 s, ok?", "bicep curl test 11 reps, lady of 70, below?", "arm curl test, woman 68, 13 curls", "arm curl normal range woman 74?",
    ]),
    ("back-scratch-range", -4, 0, [
        "back scratch gap of 5 in, woman 72, low?", "back scratch, F70, -3 in, normal?", "back scratch test: 10 cm apart, lady 73, below?", "back scratch range woman 71?",
        "back scratch overlap 1 in, woman 74",
    ]),
    ("chair-sit-and-reach-range", -3, 0, [
        "chair sit and reach 4 in short of toes, man 67, low?", "sit and reach, M70, 2 in past, ok?", "chair sit-and-reach 10 cm short, gent of 72, below?", "sit and reach normal range man 66?",
        "sit and reach test minus 1 in, man of 73",
    ]),
]  # fmt: skip

TRAINING: list[Case] = [
    # Epley 1985 and Brzycki 1993: 18 x 10 gives 24 by both; 60 lb x 10 gives 80.
    ("one-rep-max", 24, 0.05, [
        "row 18kg 10 reps all out, what's her max", "18 kg x 10 on the row, 1RM?", "est 1rm from 18kg x10", "row: 10 reps with 18 kilos, estimated max?", "18kg for 10, one rep max?",
    ]),
    ("one-rep-max", 80, 0.05, [
        "Belt squat, 60 lb for 10. One-rep max estimate in lb and kg?", "60 lbs x 10 leg press 1RM", "leg press 60lb 10 reps, what's his max", "estimated one rep max, 60 pounds for 10 reps",
        "10 reps at 60 lb on the row, e1rm?",
    ]),
    ("training-load", 56, 0.05, [
        "if 1RM = 80kg on the belt squat whats 70 percent", "70% of an 80 kg max", "leg press max 80 kg, 70% is?", "80kg one rep max, what load at 70 pct", "what's 70% of her 1RM of 80 kg on leg press",
    ]),
    ("training-load", 45, 9, [
        "power on rows, tested 90 lb max. weight range pls in lb", "row 1RM 90 lb, what load for power", "power sets off a 90 lb max on the row", "90lb max leg press, load for power work?",
        "max is 90 lb on rows, power weight?",
    ]),
    # ACSM 2009: 2 to 10 percent.
    ("next-load", 63.6, 2.5, [
        "legpress 60kg, 2 extra reps last 2 sessions. add how much", "leg press at 60 kg for two sessions over target. how much more?", "60 kg leg press too easy, what weight next",
        "she's clean at 60kg on leg press, how many kilos do I go up", "leg press 60kg: what's the next load",
    ]),
    ("next-load", 23.85, 0.95, [
        "row is 22.5 kg, she's hit 2 over target twice. how many kg do i go to", "row 22.5kg, by how much do I raise it", "22.5 kg row easy now. what do i go up to",
        "dumbbell row 22.5kg, next weight?", "how much do I add to a 22.5 kg row",
    ]),
    ("load-increase", 25, 0.1, [
        "DBs jump 8 -> 10 kg on our rack. what % is that and is it too much for a woman of 70", "going from 8 kg to 10 kg dumbbells, too big a jump?", "8 to 10 kg, what percent jump",
        "jump from 8kg to 10kg, too much?", "rack goes 8 kg to 10 kg, what percentage is the leap",
    ]),
    # NSCA training load chart: 80 % 8 reps, 70 % 11 or 12.
    ("reps-at-percent-1rm", 8, 0, [
        "By the NSCA load chart, roughly how many reps should 80% of max allow?", "how many reps at 80 percent 1rm", "reps you get at 80% max per the chart", "80% of 1RM gives how many reps",
        "load chart: 80 pct of max, how many reps?",
    ]),
    ("percent-1rm", 75, 0, [
        "what percent of max for 10 reps", "10 reps is what percentage of 1RM by the chart?", "which percent goes with 10 reps", "percent of 1rm that allows 10 reps?", "what % for 10 reps",
    ]),
    # Zourdos 2016.
    ("reps-in-reserve", 3, 0, [
        "RPE 7 on the reserve scale = how many left", "rpe 7, reps left in the tank?", "how many reps in reserve is RPE 7", "RPE 7 means what RIR", "RIR for an rpe of 7?",
    ]),
    # Tanaka 2001: 208 - 0.7 x 72 = 157.6; Karvonen 1957.
    ("heart-rate-max", 157.6, 0.05, [
        "max hr at 72: 220-age vs tanaka", "predicted max heart rate for a 72 year old", "tanaka max for 72", "what's his max pulse, he's 72", "HRmax, woman 72?", "72 yo, age-predicted maximum heart rate",
    ]),
    ("heart-rate-target", 102.0, 0.1, [
        "HRR 40 to 59% band, age 70, rests at 64, Tanaka", "Karvonen 40% for a 70 year old, resting 64", "heart rate reserve 40%, 70 yo, resting pulse 64", "70 y/o resting hr 64: 40% reserve target?",
        "target heart rate 40-59% reserve, she's 70, resting 64",
    ]),
    # ACSM stepping and walking equations (GETP10).
    ("stepping-mets", 4.23, 0.05, [
        "METs for 6 in step ups at 20 a minute", "6 inch step, 20 per min, mets?", "how many mets stepping on a 15.24 cm box 20/min", "step-ups 6in twenty a minute METs", "oxygen cost of 20 steps a min on a 6 in step",
    ]),
    ("walking-mets", 3.3, 0.05, [
        "treadmill 3 mph flat. how many mets, and on a 5 pct hill", "brisk walking mets 3mph", "walking at 4.8 km/h, METs?", "mets walking 1.34 m/s", "METs at 3 miles an hour",
    ]),
    ("aerobic-minutes-week", 155, 0, [
        "she walks 3 x 25 brisk and swims 2 x 40, does it hit the week's target", "3 x 25 min walks plus 2 x 40 min swims a week, enough?", "week: 3 x 25 brisk walk, 2 x 40 bike. short of 150?",
        "five walks of 31 min a week, enough?", "31 min a day, 5 days a week, meets the guideline?",
    ]),
    ("aerobic-minutes-week", 140, 0, [
        "40 mins vigorous + 60 moderate in a wk, what's that as moderate mins, short of who?", "70 min of vigorous a week, in moderate minutes?", "2 x 20 min jogging and 60 min moderate walking a week, enough?",
        "35 min vigorous twice a week, does that meet 150?", "2 x 70 min brisk walks a week, short of the target?",
    ]),
    ("aerobic-minutes-week", 75, 0, [
        "If she only does hard stuff, weekly vigorous minutes by WHO", "how many vigorous minutes a week", "weekly minutes if all of it is vigorous?", "WHO vigorous minutes per week at 65+", "vigorous only: minutes a week?",
    ]),
]  # fmt: skip

SETUPS: list[Case] = [
    # Published first setting 0.68 x stature.
    ("pole-length", 0.68 * 172, 0.5, [
        "walking pole length, chap 172 cm, level ground", "how long should walking poles be, he's 172cm", "pole height for a man of 5 ft 7.7", "what length poles for someone 1.72 m", "set pole length, 172 tall client",
    ]),
    ("pole-length", 107.7, 0.8, [
        "pole length for step-ups onto a 6 in step, 170 cm", "how long are the poles for a 15 cm step up, she's 170cm", "poles for 6 inch step-ups, 5 ft 7, what length", "step-up pole length, 6 in box, 1.70 m client",
        "what length do I set poles for a 6 in step, client 170 cm tall",
    ]),
    ("pole-length", 81.1, 0.8, [
        "pole length for split squats to a 4 in pad, 170 cm", "split squat on a 4 inch pad, he's 170cm, how long the poles", "poles for split squat, 10 cm pad, 5 ft 7, length?", "how long should poles be for a split squat, pad 4 in, 1.70 m",
        "set pole length split squat 4in pad 170 tall",
    ]),
    ("pole-length", 86.4, 2.5, [
        "pole length for squats, she is 170 cm", "how long should the poles be for a squat, client 5 ft 7", "squat with poles, 170 tall, what pole length", "poles for squats to a 45 cm chair, 170 cm, length?", "pole height squat 1.70 m",
    ]),
    ("pole-extra-length", 10, 0, [
        "How many cm do I let the poles out for step-ups onto 8 in compared with level walking?", "how much longer are poles for an 8 in step", "poles longer for the 20 cm step?", "extend the poles for a 8 inch box by how much",
        "poles extra length for a step of 8 in",
    ]),
    # Kumar 1995: 0.45 x stature + 8.7 cm.
    ("cane-length", 91.05, 0.1, [
        "stick height man 183cm pls", "cane length for a man 183 cm", "how long a cane for someone 6 ft", "walking stick height, he's 1.83 m", "where do I cut a cane, client 6 foot tall",
    ]),
    ("cane-length", 78.4, 0.1, [
        "wee gran, 5'1. walking cane, where do i cut it", "cane height woman 5 ft 1", "walking stick for a lady of 5 foot 1, length?", "cane for five foot one lady, how long", "stick length 155 cm woman",
    ]),
    ("ramp-angle", 11.31, 0.05, [
        "ramp 3 inches high over fifteen inches long. angle?", "wedge 3 in high, 15 in base, slope?", "angle of a ramp 7.5 cm high and 37.5 cm long", "how steep is a 3 in wedge 15 in long", "ramp three inches high, fifteen inches long, degrees?",
    ]),
    ("seat-height", 50.6, 0.05, [
        "knee crease is 44 cm up, I want the seat at 115%, cm n inches", "seat at 115% of a 44 cm knee height", "chair height 115 percent of knee crease 44 cm", "her knee crease is 44cm, seat 115%?", "how high a seat at 115% of lower leg 44 cm",
    ]),
    ("hip-drop", 5.08, 0.05, [
        "split squat pad 6 down to 4 in: how much lower do her hips go", "split squat from a 6 in to a 4 in pad, how much deeper", "going from 15.24 cm to 10.16 cm pad in the split squat, how much lower are the hips",
        "split squat, 6 in pad to 4 in pad, hip drop change?", "how far lower do hips go, split squat 4 in pad instead of 6 in pad",
    ]),
    ("pad-height", 3.5, 0.3, [
        "split squat on the flat, he's 170 tall and the back knee stops at 90 degrees. smallest pad?", "which pad keeps the rear knee within 90 degrees in a split squat, 170 cm", "rear knee limit 90 deg, split squat, 5 ft 7, what pad",
        "split squat pad for a back knee of 90 degrees, 1.70 m", "smallest pad for rear knee 90 deg split squat 170cm",
    ]),
    ("rear-knee-change", 13, 1, [
        "what does a 4 in ramp under the rear foot change in a split squat, 170 cm, 4 in pad", "split squat, 4 in pad, 4 in wedge under the back foot, how much more knee bend, 170 tall",
        "a 10 cm ramp behind in the split squat, 4 in pad, 5 ft 7, what does it add", "170cm client split squat 4 in pad: what does the 4 in wedge do to the rear knee angle", "split squat 4 in ramp 4 in pad 170 cm knee angle?",
    ]),
    ("step-knee-angle", 71, 1, [
        "knee angle for an 8 in step-up, 170 cm", "how much knee bend does a 20.3 cm step up ask, she's 170 cm", "step-up onto 8 inches, 5 ft 7, knee flexion?", "8 in step, 1.70 m, what knee angle in the step up", "step up 8 in knee bend degrees 170 tall",
    ]),
    ("step-work", 70 * 9.81 * 0.2032, 3, [
        "work per step for 70 kg on an 8 in step-up", "joules per step up, 154 lb client, 8 in step", "how much work each step-up, 11 stone, 20 cm box", "joules: 8 inch step, 70kg", "energy per step, 70 kg, 20.3 cm step",
    ]),
    # 100 x reading / body weight.
    ("support-share", 9.15, 0.05, [
        "scale under the pole tip says 7.5kg, bloke is 82. % off loaded?", "pole tip on the scale reads 7.5 kg, he weighs 82 kg, share?", "7.5 kg through the pole, 82 kg client, what percent of body weight",
        "what share of body weight is 7.5kg on the pole, 82kg man", "he's 82 kg and the pole scale shows 7.5 kg, percent support?",
    ]),
    ("support-share", 6, 0.05, [
        "Left pole 4 lb, right pole 5 lb on the scales, she's 150 lb. What share of her is on the poles?", "two poles on scales read 4 lb and 5 lb, body weight 150 lb, share?", "4 lb left pole 5 lb right pole, 150 lb woman, percent on the poles",
        "both pole tips on scales: 4 lb and 5 lb, she weighs 150 lb. percent?", "poles take 4 lb and 5 lb each side, left and right, 150 lb client, what share of body weight",
    ]),
    ("support-share", 10.5, 0.05, [
        "On the scales he is 76 kg. Hanging on the high-anchored band at the bottom of the squat it reads 68. How much is the band taking, in %?", "76 kg man, scale reads 68 kg holding the rail, share taken?", "scale drops from 76 kg to 68 kg with hands on the bar, percent support?",
        "body weight 76kg, 68 kg on the scale when hanging on the band, how much is it taking", "stands on a scale: 76 kg, with the rail 68 kg. what percent off",
    ]),
    # Relief = F cos(angle) / body weight.
    ("support-share", 11.75, 0.05, [
        "band pulls ten kilos, leans 20 deg from vertical, client 80kg. relief in %", "high band 10 kg pull at 20 degrees, 80 kg client, relief?", "band tension 10kg, 20 deg off vertical, body weight 80 kg, how much relief",
        "band takes 10 kg at 20 degrees from vertical, she weighs 80 kg, percent unloaded", "what relief from a 22 lb band pull at 20 deg, client 176 lb",
    ]),
    ("tip-angle", 16.7, 0.05, [
        "wet floor mu .3, how slanted can the pole tip go before she skates", "pole tip friction 0.3, largest tilt?", "coefficient 0.3 under the tip, what angle before the pole slips", "mu 0.3: max pole lean?", "friction of 0.3 on the tip, how far can the pole tilt",
    ]),
    ("step-height", 3, 0, [
        "two 2x4s laid flat make a step how tall really", "height of 2 2x4s stacked flat", "stack of two 2x4 boards flat, how high a step", "two 2 x 4s flat, actual step height?", "how thick are two 2x4s laid flat as a step",
    ]),
    ("weeks-to-floor", 8, 0, [
        "Dropping 2 inches a fortnight from an 8 in pad in his half kneel to stand, how many weeks to bare floor?", "split squat pad 8 in, 2 in off every 2 weeks, how many weeks to the floor", "8 in pad, 1 in a week down, weeks to floor?",
        "how long till the floor if we take 2 in off an 8 in pad every fortnight", "20 cm pad, 5 cm off every 2 weeks, how many weeks to the floor",
    ]),
]  # fmt: skip


def _values(assistant: Assistant, text: str) -> dict[str, list[float]]:
    found: dict[str, list[float]] = {}
    for figure in assistant.ask(text).figures:
        found.setdefault(figure.quantity, []).extend([figure.value, *(figure.range or ())])
    return found


def _holds(values: list[float], wanted: float, tolerance: float) -> bool:
    return any(abs(v * f - wanted) <= tolerance + 1e-9 for v in values for f in FACTORS)


@pytest.mark.parametrize(
    ("quantity", "value", "tolerance", "text"),
    [(q, v, t, text) for q, v, t, texts in [*SCREENS, *TRAINING, *SETUPS] for text in texts],
)
def test_reached(assistant: Assistant, quantity: str, value: float, tolerance: float, text: str) -> None:
    found = _values(assistant, text)
    values = [v for name in quantity.split("|") for v in found.get(name, [])]
    assert _holds(values, value, tolerance), (text, found)


def test_every_figure_has_five_wordings() -> None:
    assert all(len(texts) >= 5 for *_, texts in [*SCREENS, *TRAINING, *SETUPS])
    assert math.isfinite(sum(value for _, value, *_ in [*SCREENS, *TRAINING, *SETUPS]))


COMPUTED = {q for case in (*SCREENS, *TRAINING, *SETUPS) for q in case[0].split("|")} | {
    "heart-rate-max-220",
    "hip-drop",
}


@pytest.mark.parametrize("text", [
    "how many reps for rows", "how high should the box be for step-ups", "she wobbles on the 6 in step, what do I do",
    "what cue for knees caving in", "which hand for the pole, right hip replaced", "when do I drop the second pole",
    "how do I set up the 30 s chair stand", "is a 46 cm chair ok for the TUG", "how do I teach the hinge", "plan for a 70 year old after a hip replacement",
    "sets and reps for a 72 year old on leg press", "why does grip strength matter", "what do the pole tips go on", "cautions for a man of 66 with a pacemaker",
    "67 yo lady, split squat hurts the front knee at 4 in pad", "2 sessions a week for 8 weeks, leg press, ok?", "rest between sets at 65+",
    "she did 3 x 8 at 40 kg, how long to rest", "82 kg man, knee replaced 12 weeks ago, step-ups ok?", "how do I progress a goblet squat at 12 kg",
    "beta blocker client, step-ups, what to watch", "how far apart should the feet be in a split squat",
])  # fmt: skip
def test_nothing_is_computed_unasked(assistant: Assistant, text: str) -> None:
    computed = [f for f in assistant.ask(text).figures if f.sentence]
    assert not computed, (text, [(f.quantity, f.sentence) for f in computed])


def _talk(assistant: Assistant, *texts: str) -> list[dict[str, list[float]]]:
    result = []
    for number, text in enumerate(texts):
        figures = assistant.ask(text, follow=number > 0).figures
        found: dict[str, list[float]] = {}
        for f in figures:
            found.setdefault(f.quantity, []).extend([f.value, *(f.range or ())])
        result.append(found)
    return result


def test_follow_up_keeps_age_and_swaps_sex(assistant: Assistant) -> None:
    first, second, third = _talk(assistant, "30 s chair stand cutoff women 75-79", "men same age?", "he got 9")
    assert first["chair-stand-30s-cutoff"][0] == 10
    assert second["chair-stand-30s-cutoff"][0] == third["chair-stand-30s-cutoff"][0] == 11


def test_follow_up_on_a_maximum(assistant: Assistant) -> None:
    _, share, power = _talk(assistant, "row 18kg 10 reps all out, what's her max", "60 percent", "good for power?")
    assert share["training-load"][0] == pytest.approx(14.4)
    assert power["training-load"][1:] == pytest.approx([9.6, 14.4])


def test_corrected_sppb(assistant: Assistant) -> None:
    totals = _talk(
        assistant,
        "sppb came out 4 for balance, 3 walk, 2 for the chair bit",
        "sorry, the walk was 4 m in 4.5 secs",
        "is one point up a lot",
    )
    assert totals[0]["sppb-total"] == [9]
    assert totals[1]["sppb-total"] == [10]
    assert 1.0 in totals[2]["sppb-meaningful-change"]


FOLLOW_UPS: list[tuple[list[str], str, float]] = [
    (["max hr for 61 yo", "65% of that"], "heart-rate-target", 0.65 * 165.3),
    (["max hr for 61 yo", "resting is 62, Karvonen at 60"], "heart-rate-target", 62 + 0.6 * (165.3 - 62)),
    (["Brzycki for 40 kg x 8", "and by Epley"], "one-rep-max", 40 * (1 + 8 / 30)),
    (["40 kg x 10, 1rm?", "70% in lb"], "training-load", 0.7 * 40 * 4 / 3 / 0.45359237),
    (["leg press max 80 kg, 70%?", "in pounds"], "training-load", 56 / 0.45359237),
    (["she squats 12 kg, two reps over twice. how much more?", "only have 16s"], "load-increase", 100 / 3),
    (["cane for a 5 ft 6 man", "and walking poles?"], "pole-length", 0.68 * 66 * 2.54),
    (["seat at 100% of a 41 cm knee crease", "then 115"], "seat-height", 47.15),
    (["man 82 kg, scale reads 76 with the band. share?", "and if it reads 72"], "support-share", 1000 / 82),
    (["1RM of 70 kg leg press, 10 reps load?", "and 12"], "training-load", 49),
    (["30 s chair stand, F72, got 8", "now 12"], "minimal-detectable-change", 3),
    (["TUG 13.2 s, lady 78", "and for PD?"], "timed-up-and-go-cutoff", 11.5),
]


@pytest.mark.parametrize(("texts", "quantity", "value"), FOLLOW_UPS)
def test_follow_ups(assistant: Assistant, texts: list[str], quantity: str, value: float) -> None:
    last = _talk(assistant, *texts)[-1]
    assert quantity in last and last[quantity][0] == pytest.approx(value, abs=0.06), last


@pytest.mark.parametrize(("text", "quantity", "value"), [
    ("SARC-F: no bother lifting, some walking, a lot with chairs, some stairs, 1 fall. total?", "sarc-f-total", 5),
    ("wrist crease is 86 cm off the floor, cane length?", "cane-length", 86),
    ("ADA ramp for an 8 inch rise, how long", "ramp-length", 12 * 20.32),
    ("RPE 15 means?", "borg-rpe", 15), ("RPE 13 on the Borg scale, how hard is that", "borg-rpe", 13),
    ("PD: fell last year, freezes, gait 0.9 m/s. chance of a fall?", "parkinsons-fall-probability", 85),
    ("functional reach tries 24, 26, 28 cm", "functional-reach", 26 / 2.54),
    ("sitting rising: unable to rise without furniture, down with 3 supports and a wobble", "sitting-rising-score", 1.5),
    ("1 in 12 ramp in degrees?", "ramp-angle", 4.76), ("how much grip does a 20 degree pole lean need (friction)", "tip-friction", 0.364),
    ("4 in to 8 in step, half an inch a week, how many weeks", "weeks-to-goal", 8), ("3 reps in reserve is what rpe", "rpe-lifting", 7),
    ("Berg 42 to 46, is that real?", "minimal-detectable-change", 5), ("5% on top of 24 kg?", "next-load", 25.2),
])  # fmt: skip
def test_also_reached(assistant: Assistant, text: str, quantity: str, value: float) -> None:
    found = _values(assistant, text)
    assert found.get(quantity, [math.nan])[0] == pytest.approx(value, abs=0.01), found


def test_heart_rate_is_refused_on_rate_limiting_drugs(assistant: Assistant) -> None:
    texts = ("tanaka max for 63", "resting 58, 45% reserve", "on atenolol actually")
    maximum, target, refused = _talk(assistant, *texts)
    assert maximum["heart-rate-max"][0] == pytest.approx(163.9)
    assert target["heart-rate-target"][0] == pytest.approx(105.7, abs=0.1)
    assert "borg-rpe" in refused and "heart-rate-target" not in refused


@pytest.mark.parametrize("text", [
    "target heart rate for a 70 yo on a beta blocker, resting 60", "max heart rate at 68, pacemaker", "HRR 50%, he's 66 with AF, resting 70",
    "parkinsons lady 72, target heart rate zone?", "bisoprolol, age 71: what max hr",
])  # fmt: skip
def test_refusals_name_effort_and_the_talk_test(assistant: Assistant, text: str) -> None:
    answer = assistant.ask(text)
    assert not {"heart-rate-max", "heart-rate-target"} & {f.quantity for f in answer.figures}
    assert any("RPE" in f.sentence and "talk test" in f.sentence for f in answer.figures)
