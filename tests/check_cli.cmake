# The program as it is called: bad input is told and hides nothing, a journal
# replays to the same octets, captures come from files, pipes and pieces.
cmake_minimum_required(VERSION 3.20)
set(ENV{TZ} UTC)
unset(ENV{COLUMNS})
set(work ${BUILD}/cli)
file(REMOVE_RECURSE ${work})
file(MAKE_DIRECTORY ${work})
set(boat ${TOP}/captures/radar-absent)
set(good ${boat}/frames.pcapng)

# call(STATUS "words of standard output" "words of standard error" ARGUMENTS...)
function(call status out err)
  execute_process(COMMAND ${FAIRLEAD} ${ARGN} RESULT_VARIABLE code
    OUTPUT_VARIABLE text ERROR_VARIABLE errors WORKING_DIRECTORY ${work})
  if(NOT code EQUAL status)
    message(SEND_ERROR "fairlead ${ARGN}: status ${code}, not ${status}\n${errors}")
  endif()
  foreach(pair "out;text" "err;errors")
    list(GET pair 0 wanted)
    list(GET pair 1 got)
    if(NOT "${${wanted}}" STREQUAL "" AND NOT "${${got}}" MATCHES "${${wanted}}")
      message(SEND_ERROR "fairlead ${ARGN}: no \"${${wanted}}\" in:\n${${got}}")
    endif()
  endforeach()
  set(text "${text}" PARENT_SCOPE)
endfunction()

# The call itself.
call(2 "" "fairlead read" )
call(0 "fairlead read" "" --help)
call(0 "fairlead [0-9]" "" --version)
call(2 "" "no command" raed)
call(0 "--plan FILE" "" read --help)
call(0 "--into FILE" "" learn --help)
call(0 "--visit DIR" "" jot --help)
call(2 "" "there is no option --plam" read --plam x ${good})
call(2 "" "a value is missing after --plan" read ${good} --plan)
call(2 "" "no value belongs to" read --json=yes ${good})
call(2 "" "at least one capture" read)
call(2 "" "not both" read --plan x --missing radar ${good})

# Inputs that cannot be read, alone and beside one that can.
file(WRITE ${work}/empty.pcap "")
file(WRITE ${work}/letter.txt "Dear yard, the radar is dead again.\n")
foreach(bad empty.pcap letter.txt nowhere.pcap ${work})
  call(3 "" "fairlead: " read ${bad})
  call(1 "ARCH RADAR IS MISSING" "" read --plan ${boat}/plan.ini ${bad} ${good})
  get_filename_component(name ${bad} NAME)
  string(REGEX REPLACE "[ \n]+" " " flat "${text}")
  if(NOT flat MATCHES "${name}: ")
    message(SEND_ERROR "${bad}: not told beside the answer:\n${text}")
  endif()
endforeach()

# Cut: all whole records count, and the offset is told.
file(SIZE ${good} size)
math(EXPR half "${size} / 2")
execute_process(COMMAND head -c ${half} ${good} OUTPUT_FILE ${work}/cut.pcapng)
call(1 "ARCH RADAR IS MISSING" "" read --plan ${boat}/plan.ini cut.pcapng)
string(REGEX REPLACE "[ \n]+" " " flat "${text}")
if(NOT flat MATCHES "cut.pcapng: at octet [0-9]+: .*whole frames")
  message(SEND_ERROR "a cut capture does not say where:\n${text}")
endif()

# A faulty plan: every fault, with line and remedy.
file(WRITE ${work}/bad.ini "[device radar]\nmac = 02:00\ncadense = 2 s\n[swich x]\n")
call(2 "" "bad.ini:2:.*bad.ini:3:.*bad.ini:4:" read --plan bad.ini ${good})
call(2 "" "" read --plan ${boat}/plan.ini --at "no such place" ${good})
call(2 "" "nowhere.ini" read --plan nowhere.ini ${good})

# A journal gives the same answer, octet for octet, and writes itself again.
foreach(how text json)
  set(option)
  if(how STREQUAL "json")
    set(option --json)
  endif()
  foreach(name radar-falls-silent one-address-twice storm laptop-lead)
    set(b ${TOP}/captures/${name})
    file(REMOVE ${work}/j ${work}/j2)
    set(ends 1)
    if(name STREQUAL "laptop-lead")
      set(ends 3)
    endif()
    call(${ends} "" "" read ${option} --plan ${b}/plan.ini --journal j ${b}/frames.pcapng)
    set(first "${text}")
    call(${ends} "" "" read ${option} --plan ${b}/plan.ini --journal j2 j)
    if(NOT first STREQUAL text)
      message(SEND_ERROR "${name}: the journal replays to another answer:\n${text}")
    endif()
    file(SHA256 ${work}/j one)
    file(SHA256 ${work}/j2 two)
    if(NOT one STREQUAL two)
      message(SEND_ERROR "${name}: a replayed journal is another journal")
    endif()
  endforeach()
endforeach()
call(2 "" "cannot be written" read --journal j ${good})

# A visit: plan, journal and what a hand did, merged by time. The same answer as
# of its parts, and the journal of it replays the same.
set(b ${TOP}/captures/radar-falls-silent)
file(MAKE_DIRECTORY ${work}/visit)
configure_file(${b}/plan.ini ${work}/visit/plan.ini COPYONLY)
call(1 "" "" read --plan ${b}/plan.ini --journal visit/journal.jsonl ${b}/frames.pcapng)
set(first "${text}")
call(1 "" "" read --visit visit)
if(NOT first STREQUAL text)
  message(SEND_ERROR "a visit gives another answer than its capture:\n${text}")
endif()
file(WRITE ${work}/visit/hand.jsonl "{\"journal\":1,\"minor\":0}\n"
  "{\"kind\":\"hand\",\"ear\":0,\"order\":0,\"from\":1777713200250000000,"
  "\"to\":1777713200250000000,\"act\":\"mark\",\"text\":\"wiggled\"}\n"
  "{\"kind\":\"hand\",\"ear\":0,\"order\":1,\"from\":1777713210000000000,"
  "\"to\":1777713210000000000,\"act\":\"work\",\"text\":\"on\"}\n")
file(REMOVE ${work}/j ${work}/j2)
call(1 "" "" read --visit visit --journal j)
set(first "${text}")
call(1 "" "" read --plan visit/plan.ini --journal j2 j)
file(READ ${work}/j one)
file(READ ${work}/j2 two)
if(NOT first STREQUAL text OR NOT one STREQUAL two)
  message(SEND_ERROR "a visit replays to another answer or journal:\n${text}")
endif()
if(NOT one MATCHES "\"to\":1777713200000000000,[^\n]*\n{\"kind\":\"hand\"[^\n]*wiggled")
  message(SEND_ERROR "what a hand did does not stand at its time")
endif()
if(NOT one MATCHES "^{\"journal\":1,\"minor\":0,\"plan\":\"[0-9a-f]+\"}\n")
  message(SEND_ERROR "the first line of a journal does not tell its plan's sum")
endif()
call(1 "" "" read --json --visit visit ${good})
call(2 "" "not both" read --visit visit --plan x --missing radar)
call(0 "RADAR IS NOT HEARD" "" read --visit visit --missing radar)
call(3 "" "nowhere/journal.jsonl" read --visit nowhere)

# Noting: at the hour it is, where the visit is, and told how if it is not.
call(2 "" "there is no visit here" jot mark x)
call(2 "" "no such folder" jot --visit nowhere mark x)
if(EXISTS ${work}/nowhere)
  message(SEND_ERROR "jot made a folder of a word mistyped")
endif()
file(MAKE_DIRECTORY ${work}/noted)
call(0 "Nothing was noted" "" jot --visit noted)
call(2 "" "jot mark TEXT...: a text is missing" jot --visit noted mark)
call(2 "" "jot work on.off: it ends in one of on.off" jot --visit noted work perhaps)
call(2 "" "no act .mend.. One of:.*jot work on.off" jot --visit noted mend it)
call(0 "  mark loose plug at the mast\n" "" jot --visit noted mark loose plug "at the mast")
call(0 "" "" jot work off --visit=noted)
set(ENV{FAIRLEAD_VISIT} noted)
call(0 "^20[0-9-]+ [0-9:]+  mark loose plug at the mast\n20[0-9-]+ [0-9:]+  work off\n$" "" jot)
unset(ENV{FAIRLEAD_VISIT})
file(STRINGS ${work}/noted/hand.jsonl lines)
list(LENGTH lines n)
if(NOT n EQUAL 3)
  message(SEND_ERROR "two acts make ${n} lines:\n${lines}")
endif()
# Without a plan names are kept as given; with one they are held against it.
file(MAKE_DIRECTORY ${work}/bare ${work}/planned)
file(COPY ${boat}/plan.ini DESTINATION ${work}/planned)
foreach(folder bare planned)
  foreach(act "meter battery 12,5 rest>meter battery 12.5V rest"
      "meter;arch radar;-10.9;load;charging>meter arch radar -10.9V load charging"
      "meter breaker 12 24.9V idle --kind lithium>meter breaker 12 24.9V idle lithium"
      "light;lower switch 3;dark>light lower switch 3 dark"
      "shows;helm display;arch radar;yes>shows helm display yes arch radar"
      "swap W7>swap W7" "seat W7>seat W7"
      "move;arch radar;lower switch 7>move arch radar lower switch 7"
      "exchange;lower switch 3;lower switch 4>exchange lower switch 3 lower switch 4"
      "software;arch radar;4.2>software arch radar 4.2")
    string(REGEX MATCH "^(.*)>(.*)$" all "${act}")
    set(wanted "${CMAKE_MATCH_2}")
    set(words "${CMAKE_MATCH_1}")
    if(NOT words MATCHES ";")
      string(REPLACE " " ";" words "${words}")
    endif()
    call(0 "  ${wanted}\n$" "" jot --visit ${folder} ${words})
  endforeach()
endforeach()
call(0 "light lower switch 3 dark\n$" "" jot --visit planned light 3 dark)
call(0 "exchange lower switch 3 lower switch 4\n$" "" jot --visit planned exchange 3 port 4)
call(0 "shows helm display no arch radar\n$" "" jot --visit planned shows helm display arch radar no)
call(0 "seat arch bulkhead\n$" "" jot --visit planned seat arch bulkhead)
foreach(wrong "swap W9>did you mean 'W[0-9]'" "swap hull>it has W7, W8, W1, W2 and others"
    "light 33 dark>no '33'" "light 3 blue>one of lit.fault.dark.none"
    "seat arch bulkheat>did you mean 'arch bulkhead'" "meter battery full>'full' is no reading"
    "meter battery>no reading" "meter 12.4>its name is missing"
    "meter battery 12.4 --kind gel>lead or lithium" "exchange 3>two names"
    "shows camera yes>two names" "software camera>a version" "move camera bilge 4>not two names")
  string(REGEX MATCH "^(.*)>(.*)$" all "${wrong}")
  set(wanted "${CMAKE_MATCH_2}")
  string(REPLACE " " ";" words "${CMAKE_MATCH_1}")
  call(2 "" "${wanted}" jot --visit planned ${words})
endforeach()
file(READ ${work}/planned/hand.jsonl lines)
if(lines MATCHES "W9|hull|blue|bilge")
  message(SEND_ERROR "what was refused was noted")
endif()
# What the answer would like to know stands below what was noted.
call(1 "" "" read --plan ${boat}/plan.ini --journal ${work}/planned/journal.jsonl ${good})
call(0 "Tell me next.*  fairlead jot [^\n]*W7\n" "" jot --visit planned)

# Marks of whoever listened are listed too, where they belong.
file(WRITE ${work}/noted/journal.jsonl "{\"journal\":1,\"minor\":0}\n"
  "{\"kind\":\"hand\",\"ear\":0,\"order\":0,\"from\":1777713200250000000,"
  "\"to\":1777713200250000000,\"act\":\"mark\",\"text\":\"by a key\"}\n"
  "{\"kind\":\"hand\",\"ear\":0,\"order\":1,\"from\":2200000000000000000,"
  "\"to\":2200000000000000000,\"act\":\"mark\",\"text\":\"late\"}\n")
call(0 "  mark by a key\n[^\n]*  mark loose[^\n]*\n[^\n]*  work off\n[^\n]*  mark late\n$" ""
  jot --visit noted)
# Killed before the first line, or within it: a journal that holds nothing.
foreach(begun "" "{\"journal")
  file(WRITE ${work}/noted/journal.jsonl "${begun}")
  call(3 "journal.jsonl: it holds nothing yet" "" read --visit noted)
  call(0 "  mark loose[^\n]*\n[^\n]*  work off\n$" "holds nothing" jot --visit noted)
endforeach()
file(REMOVE ${work}/noted/journal.jsonl)
file(WRITE ${work}/visit/hand.jsonl "")
call(1 "hand.jsonl: it holds nothing yet" "" read --visit visit)
file(WRITE ${work}/noted/hand.jsonl "my own notes\n")
call(2 "" "something else than a journal" jot --visit noted mark x)

# A pipe, standard input, and a capture cut into files, in any order.
call(1 "" "" read --json --plan ${boat}/plan.ini ${good})
set(whole "${text}")
execute_process(COMMAND cat ${good}
  COMMAND ${FAIRLEAD} read --json --plan ${boat}/plan.ini -
  OUTPUT_VARIABLE piped)
string(REPLACE "\"frames.pcapng\"" "\"-\"" expected "${whole}")
if(NOT piped STREQUAL expected)
  message(SEND_ERROR "a pipe gives another answer than the file")
endif()
execute_process(COMMAND ${FAIRLEAD} read --plan ${boat}/plan.ini ${good}
  COMMAND head -n 1 OUTPUT_VARIABLE line ERROR_VARIABLE errors)
if(errors OR NOT line MATCHES "Storm Petrel")
  message(SEND_ERROR "a broken pipe does not end quietly: ${errors}")
endif()

# What could not be put out was not answered (status 3); a reader who left is no
# failure. Judgement.
foreach(how "" --json)
  execute_process(COMMAND ${FAIRLEAD} read ${how} --plan ${boat}/plan.ini ${good}
    OUTPUT_FILE /dev/full RESULT_VARIABLE code ERROR_VARIABLE errors)
  if(NOT code EQUAL 3 OR NOT errors MATCHES "standard output")
    message(SEND_ERROR "a full disk: status ${code}, ${errors}")
  endif()
endforeach()
execute_process(COMMAND ${FAIRLEAD} ports OUTPUT_FILE /dev/full RESULT_VARIABLE code
  ERROR_VARIABLE errors)
if(NOT code EQUAL 3)
  message(SEND_ERROR "ports to a full disk: status ${code}, ${errors}")
endif()

# A terminal of fewer than 80 columns says so in COLUMNS.
foreach(columns 60 72 200 nonsense)
  set(ENV{COLUMNS} ${columns})
  call(1 "ARCH RADAR IS MISSING" "" read --plan ${boat}/plan.ini ${good})
  string(REGEX REPLACE "[][;]" "," lines "${text}")
  string(REPLACE "\n" ";" lines "${lines}")
  set(widest 0)
  foreach(line IN LISTS lines)
    string(LENGTH "${line}" n)
    if(n GREATER widest)
      set(widest ${n})
    endif()
  endforeach()
  set(most 80)
  if(columns MATCHES "^(60|72)$")
    set(most ${columns})
  endif()
  math(EXPR least "${most} - 10")
  if(widest GREATER most OR widest LESS least)
    message(SEND_ERROR "COLUMNS=${columns}: the widest line has ${widest}")
  endif()
endforeach()
unset(ENV{COLUMNS})

# Nothing of the command line moves the cursor of a terminal.
string(ASCII 27 escape)
foreach(arguments "${escape}cxyz" "read;${escape}cxyz.pcap" "read;--plan;${escape}cxyz;${good}"
    "read;--${escape}cxyz")
  execute_process(COMMAND ${FAIRLEAD} ${arguments} ERROR_VARIABLE errors OUTPUT_QUIET)
  string(FIND "${errors}" "${escape}" at)
  if(NOT at EQUAL -1 OR NOT errors MATCHES "cxyz")
    message(SEND_ERROR "an escape goes out raw, or nothing is said: ${errors}")
  endif()
endforeach()

# What the call is wrong in is said before any port is looked at.
call(2 "" "give one of them" listen --json --lines)

set(ill ${TOP}/captures/one-address-twice/frames.pcapng)
call(1 "" "" read --json ${good} ${ill})
set(one "${text}")
call(1 "" "" read --json ${ill} ${good})
string(JSON a GET "${one}" heard frames)
string(JSON b GET "${text}" heard frames)
if(NOT a EQUAL b)
  message(SEND_ERROR "two captures give ${a} frames one way and ${b} the other")
endif()

# learn adds to a plan and leaves what stands as it stood.
configure_file(${boat}/plan.ini ${work}/plan.ini COPYONLY)
file(READ ${work}/plan.ini before)
call(0 "" "" learn --into plan.ini ${TOP}/captures/two-address-servers/frames.pcapng)
file(READ ${work}/plan.ini after)
string(FIND "${after}" "${before}" at)
if(NOT at EQUAL 0 OR after STREQUAL before)
  message(SEND_ERROR "learn did not add behind what stood")
endif()
call(0 "" "nothing to add" learn --into plan.ini ${TOP}/captures/two-address-servers/frames.pcapng)
call(1 "" "" read --plan plan.ini ${good})
