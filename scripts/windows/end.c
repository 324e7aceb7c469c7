/* Ends a program from outside, once a file is there.
 *
 * usage: end break|kill FILE COMMAND
 *
 * Starts the command (one argument, as Windows has it), waits for FILE, and half a second later sends the
 * program a Ctrl-Break or ends it as the task manager does. The exit status is that of the program, 200 if it
 * ended by itself, 201 if it goes on, 203 if there is no console for the event. */
#include <stdio.h>
#include <string.h>
#include <windows.h>

static const DWORD PATIENCE = 60000, STEP = 50;

int wmain(int count, wchar_t **words) {
    STARTUPINFOW start = {sizeof start};
    PROCESS_INFORMATION run;
    DWORD status = 0, waited = 0;
    if (count != 4) return 202;
    AllocConsole(); /* Events travel within a console. */
    if (!CreateProcessW(NULL, words[3], NULL, NULL, TRUE, CREATE_NEW_PROCESS_GROUP, NULL, NULL, &start, &run)) {
        fprintf(stderr, "end: cannot start it: %lu\n", GetLastError());
        return 202;
    }
    for (; GetFileAttributesW(words[2]) == INVALID_FILE_ATTRIBUTES && waited < PATIENCE; waited += STEP)
        if (WaitForSingleObject(run.hProcess, STEP) == WAIT_OBJECT_0) return 200;
    if (WaitForSingleObject(run.hProcess, 500) == WAIT_OBJECT_0) return 200;
    if (wcscmp(words[1], L"kill") == 0)
        TerminateProcess(run.hProcess, 137);
    else if (!GenerateConsoleCtrlEvent(CTRL_BREAK_EVENT, run.dwProcessId)) {
        TerminateProcess(run.hProcess, 203);
        return 203;
    }
    if (WaitForSingleObject(run.hProcess, PATIENCE) != WAIT_OBJECT_0) {
        TerminateProcess(run.hProcess, 201);
        return 201;
    }
    GetExitCodeProcess(run.hProcess, &status);
    return (int)status;
}
